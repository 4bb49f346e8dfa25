// Goal: a device's key, the hub's key and the certificate behind a link are replaced over the network,
// whatever is cut off in between. Method: a real hub in a process of its own; a device is "killed" by
// dropping all that it has in memory after each step and starting it from its files.
#include "rekey.h"

#include <catch2/catch.hpp>

#include "certificate.h"
#include "devices.h"
#include "hosts/key_change.h"
#include "hosts/private_file.h"
#include "hosts/system_clock.h"
#include "replica/author.h"
#include "store/store.h"
#include "test_device.h"
#include "tls_authority.h"
#include "verify.h"

using namespace wrackline;

namespace {

// A device as files, and what is in memory while it runs.
struct Tablet {
  explicit Tablet(RunningHub& hub)
      : hub_(hub), key_path(hub.scratch / "tablet.key"), records(hub.scratch / "tablet.db") {
    keystore = must(FileKeystore::create(key_path));
    client = must(HubClient::create(hub.client_options()));
    enrolment = must(enrol(*client, hub.new_code(), *keystore, "tablet"));
    replica = must(Replica::create({records, keystore.get(), wall_clock_ms},
                                   {enrolment.facility, enrolment.hub_key, "tablet"}));
    exchange();
  }
  void kill_and_start() {
    replica.reset();
    keystore.reset();
    next.reset();
    keystore = must(open_key(key_path, records));
    replica = must(Replica::open({records, keystore.get(), wall_clock_ms}));
    client = must(HubClient::create(hub_.client_options()));
  }
  HubSession session() { return must(open_session(*client, enrolment.facility, *keystore)); }
  void exchange() {
    HubSession now = session();
    for (Bytes request = must(replica->exchange({})); !request.empty();)
      request = must(replica->exchange(must(client->post("/v1/exchange", request, &now))));
  }
  bool has_next_key() const { return std::filesystem::exists(next_key_path(key_path)); }

  void step(int number) {
    if (number == 1) next = must(begin_key_change(key_path));
    if (number == 2) {
      HubSession now = session();
      must(replace_key(*client, now, enrolment.facility, *keystore, *next));
    }
    if (number == 3) {
      must(replica->change_key(*next));
      keystore = std::move(next);
    }
    if (number == 4) must(end_key_change(key_path));
  }
  // Does what `wrack rekey` does after a start.
  void go_on() {
    if (!has_next_key()) return;
    next = must(begin_key_change(key_path));
    const auto told = open_session(*client, enrolment.facility, *next);
    if (!told) {
      REQUIRE(told.error().code == ErrorCode::kUnknownDevice);
      step(2);
    }
    step(3);
    step(4);
  }

  RunningHub& hub_;
  std::string key_path, records;
  std::unique_ptr<FileKeystore> keystore, next;
  std::unique_ptr<HubClient> client;
  Enrolment enrolment;
  std::unique_ptr<Replica> replica;
};

}  // namespace

TEST_CASE("a change of a device's key that is cut off after any step goes on at the next start", "[rekey]") {
  for (int last = 1; last <= 4; ++last) {
    INFO("killed after step " << last);
    RunningHub hub;
    TestDevice other(hub, "other");
    Tablet tablet(hub);
    const PublicKey before = tablet.keystore->public_key();
    for (int number = 1; number <= last; ++number) tablet.step(number);
    const std::string wanted =
        last == 4 ? "" : to_hex(view(must(begin_key_change(tablet.key_path))->public_key()));
    tablet.kill_and_start();
    // Step 3 is the point of no return; before it the old key is in force, and after it the new one, both at
    // once.
    CHECK((tablet.keystore->public_key() == before) == (last < 3));
    CHECK(tablet.has_next_key() == (last < 3));
    tablet.go_on();
    CHECK_FALSE(tablet.has_next_key());
    tablet.kill_and_start();
    CHECK_FALSE(tablet.keystore->public_key() == before);
    if (!wanted.empty()) CHECK(to_hex(view(tablet.keystore->public_key())) == wanted);
    tablet.exchange();
    must(other.exchange());
    CHECK(must(other.replica().device_standing(before)) == DeviceStanding::kRevoked);
    CHECK(must(other.replica().device_standing(tablet.keystore->public_key())) == DeviceStanding::kEnrolled);
    int rows = 0;
    for (const DeviceRow& row : must(list_devices(hub.directory))) {
      if (row.name != "tablet") continue;
      ++rows;
      CHECK(row.revoked == row.continues.empty());
      if (row.revoked) CHECK(row.revoked_reason == "key replaced");
    }
    CHECK(rows == 2);
  }
}

TEST_CASE("the same request to change a key may be sent again, and no other in its place", "[rekey]") {
  RunningHub hub;
  Tablet tablet(hub);
  tablet.step(1);
  HubSession session = tablet.session();
  const FacilityId& facility = tablet.enrolment.facility;
  must(replace_key(*tablet.client, session, facility, *tablet.keystore, *tablet.next));
  must(replace_key(*tablet.client, session, facility, *tablet.keystore, *tablet.next));
  const auto other = must(FileKeystore::create(hub.scratch / "other.key"));
  CHECK(replace_key(*tablet.client, session, facility, *tablet.keystore, *other).error().code ==
        ErrorCode::kRevokedDevice);
  CHECK(tablet.client->post("/v1/query", "", &session).error().code == ErrorCode::kRevokedDevice);
  CHECK(open_session(*tablet.client, facility, *tablet.keystore).error().code == ErrorCode::kRevokedDevice);
  must(open_session(*tablet.client, facility, *tablet.next));
}

TEST_CASE("a hub whose key was replaced is followed by devices that met it before, and verifies", "[rekey]") {
  RunningHub hub;
  TestDevice north(hub, "north");
  north.log_people(3);
  must(north.exchange());
  CHECK(rekey({hub.directory, "Ada", "by plan", false}).error().code == ErrorCode::kBusy);
  hub.stop();
  CHECK(rekey({hub.directory, "Nobody", "by plan", false}).error().code == ErrorCode::kNotFound);
  CHECK(rekey({hub.directory, "Ada", "", false}).error().code == ErrorCode::kInvalid);
  const std::string before = must(hub_key_of(hub.directory));
  const RekeyOutcome outcome = must(rekey({hub.directory, "Ada", "by plan", false}));
  CHECK(outcome.dropped == 0);
  CHECK(must(hub_key_of(hub.directory)) == outcome.hub_key);
  CHECK(outcome.hub_key != before);
  CHECK_FALSE(std::filesystem::exists(next_key_path(hub.directory.key())));
  CHECK(must(verify(hub.directory.records(), {}, {}, {})).good());
  hub.start();
  TestDevice south(hub, "south");
  CHECK(to_hex(view(south.enrolment().hub_key)) == outcome.hub_key);
  south.log_people(2);
  for (int round = 0; round < 2; ++round) {
    for (TestDevice* device : {&north, &south}) {
      must(device->exchange());
      CHECK(device->refusals().empty());
    }
  }
  CHECK(north.digest() == south.digest());
  CHECK(north.digest() == north.hub_digest());
  hub.stop();
  CHECK(must(verify(hub.directory.records(), {}, {}, {})).good());
}

TEST_CASE("the next start ends a change of the hub's key that was cut off between records and file",
          "[rekey]") {
  RunningHub hub;
  TestDevice north(hub, "north");
  hub.stop();
  {
    const auto old_key = must(open_key(hub.directory.key(), hub.directory.records()));
    auto replica = must(Replica::open({hub.directory.records(), old_key.get(), wall_clock_ms}));
    const auto next = must(begin_key_change(hub.directory.key()));
    must(replica->change_hub_key(*next, Replica::OldKey::kSigns, {}, "by plan"));
  }
  REQUIRE(std::filesystem::exists(next_key_path(hub.directory.key())));
  hub.start();
  CHECK_FALSE(std::filesystem::exists(next_key_path(hub.directory.key())));
  must(north.exchange());
  CHECK(north.refusals().empty());
  CHECK(north.digest() == north.hub_digest());
}

TEST_CASE("a device whose hub lost its key says whose word is missing, and goes on once repinned", "[rekey]") {
  RunningHub hub;
  TestDevice north(hub, "north");
  north.log_people(3);
  must(north.exchange());
  hub.stop();
  std::filesystem::remove(hub.directory.key());
  const RekeyOutcome outcome = must(rekey({hub.directory, "Ada", "the key file was read", true}));
  CHECK(must(verify(hub.directory.records(), {}, {}, {})).good());
  hub.start();
  north.log_people(2);
  must(north.exchange());
  REQUIRE_FALSE(north.refusals().empty());
  CHECK_THAT(north.refusals().back().message, Catch::Contains(outcome.hub_key));
  // This does what `wrack repin --link` does: a code, with the key that is enrolled already.
  const auto client = must(HubClient::create(hub.client_options()));
  const Enrolment enrolment = must(enrol(*client, hub.new_code(), north.key(), "north"));
  CHECK(to_hex(view(enrolment.hub_key)) == outcome.hub_key);
  must(north.replica().repin(enrolment.hub_key));
  must(north.exchange());
  must(north.exchange());
  CHECK(north.refusals().empty());
  CHECK(north.digest() == north.hub_digest());
}

TEST_CASE("a code of a link goes to no other certificate than the one that the link names", "[rekey]") {
  RunningHub hub;
  const auto key = must(FileKeystore::create(hub.scratch / "linked.key"));
  const std::string code = hub.new_code();
  const std::string right =
      check_pair(content_of(hub.directory.certificate()), content_of(hub.directory.certificate_key()))
          ->fingerprint;
  std::string digits;
  for (const char c : right) {
    if (c != ':') digits += c;
  }
  HubClient::Options options = hub.client_options();
  options.certificate_path.clear();
  options.fingerprint = digits;
  options.fingerprint.front() = options.fingerprint.front() == '0' ? '1' : '0';
  auto strange = must(HubClient::create(options));
  const auto refused = enrol(*strange, code, *key, "linked");
  REQUIRE_FALSE(refused);
  CHECK(refused.error().code == ErrorCode::kTransport);
  CHECK_THAT(refused.error().message,
             Catch::Contains("nothing was sent") && Catch::Contains("not the one that the link names"));
  CHECK(strange->certificate().empty());

  // Another machine under the same address, with a certificate of its own.
  hub.stop();
  const std::string kept_certificate = content_of(hub.directory.certificate()),
                    kept_key = content_of(hub.directory.certificate_key());
  const CertificatePair other = must(make_certificate(must(make_tls_authority({"127.0.0.1"}, wall_clock_ms())), {"127.0.0.1"}, wall_clock_ms()));
  must(replace_private_file(hub.directory.certificate_key(), other.key_pem));
  must(replace_private_file(hub.directory.certificate(), other.certificate_pem));
  hub.start();
  options.fingerprint = digits;
  CHECK(enrol(*must(HubClient::create(options)), code, *key, "linked").error().code == ErrorCode::kTransport);
  CHECK(hub.log().find("/v1/enrol") == std::string::npos);
  hub.stop();
  must(replace_private_file(hub.directory.certificate_key(), kept_key));
  must(replace_private_file(hub.directory.certificate(), kept_certificate));
  hub.start();

  auto client = must(HubClient::create(options));
  const Enrolment enrolment = must(enrol(*client, code, *key, "linked"));
  CHECK(enrolment.facility_name == "Test Pier");
  // The certificate that was shown is kept, and is trusted from then on.
  must(create_private_file(hub.scratch / "hub.pem", client->certificate()));
  HubClient::Options by_file = hub.client_options();
  by_file.certificate_path = hub.scratch / "hub.pem";
  must(open_session(*must(HubClient::create(by_file)), enrolment.facility, *key));
  // A right fingerprint is no leave to answer under any name.
  options.hub.host = "127.0.0.2";
  CHECK_FALSE(enrol(*must(HubClient::create(options)), code, *key, "linked"));
  options.fingerprint = digits.substr(1);
  CHECK(code_of(HubClient::create(options)) == ErrorCode::kInvalid);
}
