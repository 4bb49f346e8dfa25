// Goal: nobody becomes a device, stays one, or takes its place by anything that was overheard, stolen or
// replayed. Method: real TLS; requests signed with the wrong key, in the wrong session, or once too often;
// afterwards the hub must know the devices it knew.
#include <call.pb.h>
#include <catch2/catch.hpp>
#include <thread>

#include "attack_world.h"
#include "certificate.h"
#include "crypto/texts.h"
#include "devices.h"
#include "hosts/system_clock.h"
#include "support/random.h"

using namespace wrackline;

namespace {

struct RekeyParts {
  Keystore* next;
  Keystore* signs_as_next;
  Keystore* signs_as_before;
  PublicKey before;  // The key that the signed text names.
  FacilityId facility;
};

std::string rekey_body(const RekeyParts& parts) {
  const Bytes text = rekey_text(parts.facility, parts.before, parts.next->public_key());
  proto::RekeyRequest request;
  request.set_protocol(1);
  request.set_new_key(Bytes(view(parts.next->public_key())));
  request.set_new_signature(Bytes(view(must(parts.signs_as_next->sign(text)))));
  request.set_old_signature(Bytes(view(must(parts.signs_as_before->sign(text)))));
  return request.SerializeAsString();
}

std::string hexadecimal_only(const std::string& fingerprint) {
  std::string out;
  for (const char c : fingerprint) {
    if (c != ':') out += c;
  }
  return out;
}

}  // namespace

TEST_CASE("a session that has expired opens nothing, from anywhere", "[attack]") {
  RunningHub::Options options = AttackWorld::quick();
  options.limits.session = std::chrono::milliseconds(1500);
  RunningHub hub(options);
  TestDevice device(hub, "tablet");
  const auto client = must(HubClient::create(hub.client_options()));
  HubSession session = must(open_session(*client, device.enrolment().facility, device.key()));
  // It was opened before this moment by the hub's clock, which is this machine's.
  const WallMs expired = wall_clock_ms() + 1500;
  while (wall_clock_ms() <= expired) std::this_thread::sleep_for(std::chrono::milliseconds(50));
  for (const char* path : {"/v1/query", "/v1/exchange", "/v1/rekey"}) {
    const auto answer = client->post(path, "", &session);
    CHECK(tried(!answer && answer.error().code == ErrorCode::kUnauthorized));
  }
  CHECK(hub.is_running());
}

TEST_CASE("a session ends with its device's revocation, wherever it is used", "[attack]") {
  AttackWorld world(AttackWorld::quick());
  HubSession& session = world.thief->session();
  proto::Call call;
  call.mutable_status();
  const auto query = [&] { return world.request("/v1/query", call.SerializeAsString(), &session); };
  // A session is not bound to an address, since a tablet's changes as it moves: it ends with its device.
  REQUIRE(world.ask(query(), "127.0.0.9") == 200);
  must(revoke({world.hub.directory, "thief", "its key was copied", "Ada"}));
  for (const char* address : {"127.0.0.9", "127.0.0.1", "127.0.0.9"}) {
    const int status = world.ask(query(), address);
    CHECK(tried(status == 403 || status == 401));
  }
  CHECK(tried(world.ask(world.request("/v1/exchange", "", &session), "127.0.0.9") == 401));
  CHECK(tried(!open_session(*must(HubClient::create(world.hub.client_options())),
                            world.thief->enrolment().facility, world.thief->key())));
  must(world.keeper->exchange());
  world.digest_before = world.keeper->hub_digest();
  world.changes_before = world.hub_changes();
}

TEST_CASE("a token opens nothing without its device's key, and a request is good once", "[attack]") {
  AttackWorld world(AttackWorld::quick());
  const FacilityId facility = world.keeper->enrolment().facility;
  const std::string token = world.keeper->session().token();
  proto::Call call;
  call.mutable_status();
  const Bytes body = call.SerializeAsString();
  const auto ask = [&](const std::string& authorization, const std::string& sent, const char* path = "/v1/query", const char* method = "POST") {
    return world.ask(std::string(method) + " " + path + " HTTP/1.1\r\nHost: hub\r\nContent-Type: application/x-protobuf\r\nAuthorization: " + authorization +
                     "\r\nConnection: close\r\nContent-Length: " + std::to_string(sent.size()) + "\r\n\r\n" + sent);
  };
  const auto signed_by = [&](Keystore& key, std::uint64_t number, const FacilityId& at, RequestHead head = {"POST", "/v1/query"}) {
    return must(authorize(at, key, token, number, head, sha256(body)));
  };
  const std::uint64_t unused = 1000;  // The keeper's own come far below.
  const auto stranger = must(FileKeystore::create(world.hub.scratch / "stranger.key"));
  FacilityId elsewhere = facility;
  elsewhere[0] ^= 1;
  for (const std::string scheme : {"Bearer ", "Wrackline "}) CHECK(tried(ask(scheme + token, body) == 401));
  CHECK(tried(ask(signed_by(world.thief->key(), unused, facility), body) == 401));  // An enrolled device's key, but another's.
  CHECK(tried(ask(signed_by(*stranger, unused, facility), body) == 401));
  CHECK(tried(ask(signed_by(world.keeper->key(), unused, elsewhere), body) == 401));
  // The keeper's own words for something else.
  CHECK(tried(ask(signed_by(world.keeper->key(), unused, facility, {"POST", "/v1/act"}), body) == 401));
  CHECK(tried(ask(signed_by(world.keeper->key(), unused, facility, {"GET", "/v1/query"}), body) == 401));
  CHECK(tried(ask(signed_by(world.keeper->key(), unused, facility, {"POST", "/v1/query", "bytes=0-19"}), body) == 401));
  CHECK(tried(ask(signed_by(world.keeper->key(), 0, facility), body) == 401));
  RequestAuthorization renumbered = *read_authorization(signed_by(world.keeper->key(), unused, facility));
  renumbered.number = unused + 1;
  CHECK(tried(ask(to_text(renumbered), body) == 401));
  RequestAuthorization other_body = *read_authorization(signed_by(world.keeper->key(), unused, facility));
  other_body.body = sha256("other");
  CHECK(tried(ask(to_text(other_body), "other") == 401));
  CHECK(tried(ask(signed_by(world.keeper->key(), unused, facility), "other") == 400));  // It is in a session, but not its body; and is used up.
  CHECK(tried(ask(signed_by(world.keeper->key(), unused, facility), body) == 401));
  // Overheard as it was sent, and sent again.
  const std::string heard = signed_by(world.keeper->key(), unused + 1, facility);
  REQUIRE(ask(heard, body) == 200);
  for (int i = 0; i < 5; ++i) CHECK(tried(ask(heard, body) == 401));
  // Numbers that come out of order are good once each; those that are far behind are not.
  REQUIRE(ask(signed_by(world.keeper->key(), unused + 40, facility), body) == 200);
  REQUIRE(ask(signed_by(world.keeper->key(), unused + 20, facility), body) == 200);
  CHECK(tried(ask(signed_by(world.keeper->key(), unused + 20, facility), body) == 401));
  REQUIRE(ask(signed_by(world.keeper->key(), unused + 200, facility), body) == 200);
  CHECK(tried(ask(signed_by(world.keeper->key(), unused + 21, facility), body) == 401));
  must(world.keeper->exchange());  // Its own numbers are behind now: it opens another session.
}

TEST_CASE("a change of key is good for the device that has both keys, and for nobody else", "[attack]") {
  AttackWorld world(AttackWorld::quick());
  FileKeystore& keeper = world.keeper->key();
  FileKeystore& thief = world.thief->key();
  const auto fresh = must(FileKeystore::create(world.hub.scratch / "fresh.key"));
  const FacilityId facility = world.keeper->enrolment().facility;
  FacilityId elsewhere = facility;
  elsewhere[0] ^= 1;
  HubSession& keepers = world.keeper->session();
  HubSession& thiefs = world.thief->session();
  HubSession stolen(facility, thief, keepers.token());  // The keeper's token, and the thief's key.
  HubSession invented(facility, thief, std::string(64, 'a'));
  const auto refuse = [&](const RekeyParts& parts, HubSession* session) {
    const int status = world.ask(world.request("/v1/rekey", rekey_body(parts), session));
    INFO(status);
    return tried(status == 400 || status == 401 || status == 403);
  };
  const RekeyParts rightful{fresh.get(), fresh.get(), &keeper, keeper.public_key(), facility};
  CHECK(refuse(rightful, &thiefs));  // Overheard, and sent in another's session.
  CHECK(refuse(rightful, nullptr));      // Sent without a session.
  CHECK(refuse(rightful, &invented));
  CHECK(refuse(rightful, &stolen));
  // With the keeper's session in hand, but not the keeper's key.
  CHECK(refuse({fresh.get(), fresh.get(), &thief, keeper.public_key(), facility}, &keepers));
  CHECK(refuse({fresh.get(), fresh.get(), fresh.get(), keeper.public_key(), facility}, &keepers));
  CHECK(refuse({&thief, &thief, &thief, thief.public_key(), facility}, &keepers));
  // A key that the sender does not hold, or that is in use.
  CHECK(refuse({fresh.get(), &thief, &thief, thief.public_key(), facility}, &thiefs));
  CHECK(refuse({&keeper, &thief, &thief, thief.public_key(), facility}, &thiefs));
  CHECK(refuse({&keeper, &keeper, &thief, thief.public_key(), facility}, &thiefs));
  CHECK(refuse({&thief, &thief, &thief, thief.public_key(), facility}, &thiefs));
  const auto hub_key = must(FileKeystore::open(world.hub.directory.key()));
  CHECK(refuse({hub_key.get(), hub_key.get(), &thief, thief.public_key(), facility}, &thiefs));
  CHECK(refuse({fresh.get(), fresh.get(), &thief, thief.public_key(), elsewhere}, &thiefs));
  // Signed for another purpose.
  proto::RekeyRequest request;
  REQUIRE(
      request.ParseFromString(rekey_body({fresh.get(), fresh.get(), &thief, thief.public_key(), facility})));
  request.set_old_signature(
      Bytes(view(must(thief.sign(session_text(facility, Bytes(view(fresh->public_key()))))))));
  CHECK(tried(world.ask(world.request("/v1/rekey", request.SerializeAsString(), &thiefs)) == 400));
  Random random = test_random("rekey garbage");
  for (int i = 0; i < 20; ++i) {
    const Bytes body = random.bytes(static_cast<std::size_t>(random.below(300)));
    CHECK(tried(world.ask(world.request("/v1/rekey", body, &thiefs)) == 400));
  }
  CHECK(tried(world.ask(world.request("/v1/rekey", std::string(70'000, 'x'), &thiefs)) == 413));
  world.check_unchanged();

  // The rightful one, by the thief for its own device; then again and again.
  const auto own = [&] {
    return world.request("/v1/rekey", rekey_body({fresh.get(), fresh.get(), &thief, thief.public_key(), facility}), &thiefs);
  };
  REQUIRE(world.ask(own()) == 200);
  must(world.keeper->exchange());
  world.digest_before = world.keeper->hub_digest();
  world.changes_before = world.hub_changes();
  for (int i = 0; i < 3; ++i)
    CHECK(tried(world.ask(own()) == 200 && world.hub_changes() == world.changes_before));
  const auto another = must(FileKeystore::create(world.hub.scratch / "another.key"));
  CHECK(refuse({another.get(), another.get(), &thief, thief.public_key(), facility}, &thiefs));
  CHECK(tried(world.ask(world.request("/v1/exchange", "", &thiefs)) == 403));
  CHECK(refuse({another.get(), another.get(), &thief, thief.public_key(), facility}, &thiefs));
}

TEST_CASE("a code is not told to a machine whose certificate is not the link's", "[attack]") {
  AttackWorld world(AttackWorld::quick());
  const auto key = must(FileKeystore::create(world.hub.scratch / "linked.key"));
  const std::string code = world.hub.new_code();
  world.secrets.push_back(code);
  const HubDirectory& directory = world.hub.directory;
  const std::string right = hexadecimal_only(
      must(check_pair(content_of(directory.certificate()), content_of(directory.certificate_key())))
          .fingerprint);
  const auto requests_to_enrol = [&] {
    const std::string log = world.hub.log();
    int count = 0;
    for (std::size_t at = log.find("/v1/enrol"); at != std::string::npos; at = log.find("/v1/enrol", at + 1))
      ++count;
    return count;
  };
  const int before = requests_to_enrol();
  Random random = test_random("fingerprints");
  for (int i = 0; i < 24; ++i) {
    HubClient::Options options = world.hub.client_options();
    options.certificate_path.clear();
    options.fingerprint = right;
    char& digit = options.fingerprint[static_cast<std::size_t>(random.below(64))];
    digit = digit == '0' ? '1' : '0';
    if (i % 8 == 7) options.fingerprint = to_hex(random.bytes(32));
    const auto answer = enrol(*must(HubClient::create(options)), code, *key, "linked");
    CHECK(tried(!answer && answer.error().code == ErrorCode::kTransport && requests_to_enrol() == before));
  }
}
