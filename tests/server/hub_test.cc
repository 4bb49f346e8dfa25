// Goal: every endpoint answers what it should to whom it should, also to those who send nonsense. Method: a
// Hub on a real replica in a scratch directory, a clock by hand, no sockets.
#include "hub.h"

#include <call.pb.h>
#include <exchange.pb.h>
#include <invite.pb.h>
#include <roster.pb.h>

#include <catch2/catch.hpp>

#include "call/dispatch.h"
#include "crypto/texts.h"
#include "hosts/file_keystore.h"
#include "hosts/system_clock.h"
#include "init.h"
#include "model/device.h"
#include "model/kinds.h"
#include "replica/at_hub.h"
#include "replica/replica.h"
#include "scratch.h"
#include "store/store.h"

using namespace wrackline;

namespace {

// The replica's records are made by init() with the real clock, so the test's runs on from there.
struct World {
  explicit World(const PeerLimits& limits = {}) {
    InitOptions options;
    options.directory.path = scratch / "hub";
    options.facility_name = "Test Pier";
    options.time_zone = "Europe/Oslo";
    options.hosts = {"hub.test"};
    options.admin_name = "Ada";
    options.proof_required = false;
    must(init(options));
    directory = options.directory;
    hub_key = must(FileKeystore::open(directory.key()));
    replica = must(Replica::open({directory.records(), hub_key.get(), clock()}));
    Hub::Options hub_options;
    hub_options.codes_path = directory.codes();
    hub_options.facility_name = "Test Pier";
    hub_options.wall_clock = clock();
    hub_options.limits = limits;
    hub = std::make_unique<Hub>(*replica, log, metrics, hub_options);
    device = must(FileKeystore::create(scratch / "device.key"));
  }

  std::function<WallMs()> clock() {
    return [this] { return now; };
  }

  HubAnswer ask(const std::string& path, const Bytes& body, HubSession* session = nullptr,
                const std::string& peer = "192.0.2.7") {
    HubRequestHead head{"POST", path, "application/x-protobuf", session == nullptr ? "" : must(session->authorize({"POST", path}, body)), peer};
    const Hub::Admitted admitted = hub->admit(head);
    return admitted.refusal ? *admitted.refusal : hub->answer(admitted, body);
  }

  std::string new_code() { return must(EnrolmentCodes(directory.codes()).make(now, 600'000)); }

  proto::EnrolRequest enrol_request(const std::string& code, Keystore& key) {
    proto::EnrolRequest request;
    request.set_protocol(1);
    request.set_code(code);
    request.set_device_key(Bytes(view(key.public_key())));
    request.set_device_name("Pool tablet");
    request.set_signature(Bytes(view(must(key.sign(enrolment_text(code, key.public_key()))))));
    return request;
  }

  HubAnswer enrol(const std::string& code, Keystore& key, const std::string& peer = "192.0.2.7") {
    return ask("/v1/enrol", enrol_request(code, key).SerializeAsString(), nullptr, peer);
  }

  HubAnswer first_step(Keystore& key) {
    proto::SessionRequest request;
    request.set_protocol(1);
    request.set_device_key(Bytes(view(key.public_key())));
    return ask("/v1/session", request.SerializeAsString());
  }

  HubAnswer second_step(Keystore& key, const Bytes& nonce) {
    proto::SessionRequest request;
    request.set_protocol(1);
    request.set_device_key(Bytes(view(key.public_key())));
    request.set_nonce(nonce);
    request.set_signature(Bytes(view(must(key.sign(session_text(replica->membership().facility, nonce))))));
    return ask("/v1/session", request.SerializeAsString());
  }

  HubSession session(Keystore& key) {
    proto::SessionReply reply;
    REQUIRE(reply.ParseFromString(first_step(key).body));
    const HubAnswer second = second_step(key, reply.nonce());
    REQUIRE(second.status == 200);
    REQUIRE(reply.ParseFromString(second.body));
    return HubSession(replica->membership().facility, key, reply.token());
  }

  Scratch scratch;
  HubDirectory directory;
  WallMs now = wall_clock_ms();
  std::string logged;
  Log log{[this](std::string_view line) { logged += line; }, [this] { return now; }};
  Metrics metrics;
  std::unique_ptr<FileKeystore> hub_key, device;
  std::unique_ptr<Replica> replica;
  std::unique_ptr<Hub> hub;
};

ErrorCode code_of(const HubAnswer& answer) {
  proto::ErrorReply reply;
  REQUIRE(answer.content_type == "application/x-protobuf");
  REQUIRE(reply.ParseFromString(answer.body));
  REQUIRE_FALSE(reply.message().empty());
  return static_cast<ErrorCode>(reply.code());
}

}  // namespace

TEST_CASE("a device enrols with a code, opens a session and exchanges", "[hub]") {
  World world;
  const std::string code = world.new_code();
  const HubAnswer enrolled = world.enrol(code, *world.device);
  REQUIRE(enrolled.status == 200);
  proto::EnrolReply reply;
  REQUIRE(reply.ParseFromString(enrolled.body));
  CHECK(reply.facility_name() == "Test Pier");
  CHECK(reply.facility() == view(world.replica->membership().facility));
  CHECK(reply.hub_key() == view(world.hub_key->public_key()));

  HubSession session = world.session(*world.device);
  Membership membership;
  REQUIRE(copy_exactly(reply.facility(), membership.facility));
  REQUIRE(copy_exactly(reply.hub_key(), membership.hub_key));
  membership.device_name = "Pool tablet";
  const auto tablet =
      must(Replica::create({world.scratch / "tablet.db", world.device.get(), world.clock()}, membership));
  Bytes request = must(tablet->exchange({}));
  for (int rounds = 0; !request.empty(); ++rounds) {
    REQUIRE(rounds < 10);
    const HubAnswer answer = world.ask("/v1/exchange", request, &session);
    REQUIRE(answer.status == 200);
    request = must(tablet->exchange(answer.body));
  }
  CHECK(must(facility_name_of(*tablet)) == "Test Pier");

  proto::Call call;
  call.mutable_status();
  const HubAnswer status = world.ask("/v1/query", call.SerializeAsString(), &session);
  REQUIRE(status.status == 200);
  proto::Reply status_reply;
  REQUIRE(status_reply.ParseFromString(status.body));
  CHECK(status_reply.status().facility_name() == "Test Pier");

  // Neither code nor token nor key in the log.
  CHECK_FALSE(world.logged.empty());
  for (const std::string& secret : {code, normal_code(code), session.token(), to_hex(view(world.device->public_key()))})
    CHECK(world.logged.find(secret) == std::string::npos);
}

TEST_CASE("a query cannot write", "[hub]") {
  World world;
  REQUIRE(world.enrol(world.new_code(), *world.device).status == 200);
  HubSession session = world.session(*world.device);
  proto::Call call;
  call.mutable_log()->add_records()->set_kind(4);
  const HubAnswer answer = world.ask("/v1/query", call.SerializeAsString(), &session);
  proto::Reply reply;
  REQUIRE(reply.ParseFromString(answer.body));
  CHECK(reply.has_failure());
}

TEST_CASE("wrong codes are refused, and keep nobody behind their address from a right one", "[hub]") {
  World world;
  const std::string good = world.new_code();
  for (int i = 0; i < 200; ++i) {
    const HubAnswer answer = world.enrol("BCDFG-HJKLM", *world.device);
    REQUIRE(answer.status == 401);
    CHECK(code_of(answer) == ErrorCode::kUnauthorized);
  }
  CHECK(world.enrol(good, *world.device).status == 200);
}

TEST_CASE("an answer to an enrolment that got lost can be asked for again, by that device alone", "[hub]") {
  World world;
  const std::string code = world.new_code();
  REQUIRE(world.enrol(code, *world.device).status == 200);
  CHECK(world.enrol(code, *world.device).status == 200);
  const auto other = must(FileKeystore::create(world.scratch / "other.key"));
  CHECK(world.enrol(code, *other).status == 401);
}

TEST_CASE("an enrolment that is not signed by its key, or has no name, changes nothing", "[hub]") {
  World world;
  const std::string code = world.new_code();
  proto::EnrolRequest request = world.enrol_request(code, *world.device);
  SECTION("another key") { request.set_device_key(Bytes(32, 'k')); }
  SECTION("another code") { request.set_code("BCDFG-HJKLM"); }
  SECTION("no signature") { request.clear_signature(); }
  SECTION("a short key") { request.set_device_key("short"); }
  SECTION("no name") { request.set_device_name(""); }
  SECTION("a name of two lines") { request.set_device_name("a\nb"); }
  SECTION("a long name") { request.set_device_name(std::string(65, 'a')); }
  SECTION("no code") { request.clear_code(); }
  SECTION("another protocol") { request.set_protocol(2); }
  CHECK(world.ask("/v1/enrol", request.SerializeAsString()).status == 400);
  CHECK(world.enrol(code, *world.device).status == 200);  // The code was not used up.
}

TEST_CASE("a session is for enrolled devices that answer their own challenge", "[hub]") {
  World world;
  CHECK(code_of(world.first_step(*world.device)) == ErrorCode::kUnknownDevice);
  REQUIRE(world.enrol(world.new_code(), *world.device).status == 200);
  proto::SessionReply reply;
  REQUIRE(reply.ParseFromString(world.first_step(*world.device).body));
  CHECK(reply.nonce().size() == 32);
  CHECK(reply.token().empty());
  const Bytes nonce = reply.nonce();
  SECTION("another nonce") { CHECK(world.second_step(*world.device, Bytes(32, 'n')).status == 401); }
  SECTION("too late") {
    world.now += 60'000;
    CHECK(world.second_step(*world.device, nonce).status == 401);
  }
  SECTION("twice") {
    CHECK(world.second_step(*world.device, nonce).status == 200);
    CHECK(world.second_step(*world.device, nonce).status == 401);
  }
  SECTION("by another key") {
    const auto other = must(FileKeystore::create(world.scratch / "other.key"));
    REQUIRE(world.enrol(world.new_code(), *other).status == 200);
    CHECK(world.second_step(*other, nonce).status == 401);
  }
}

TEST_CASE("an admin invites another device by PIN, and nobody else does", "[hub]") {
  World world;
  REQUIRE(world.enrol(world.new_code(), *world.device).status == 200);
  HubSession session = world.session(*world.device);
  const auto call = [&](const proto::Call& what) {
    proto::Reply reply;
    REQUIRE(reply.ParseFromString(dispatch(*world.replica, what.SerializeAsString())));
    INFO(reply.failure().message());
    REQUIRE_FALSE(reply.has_failure());
    return reply;
  };
  const auto set_pin = [&](const proto::RecordRef& person, const char* pin) {
    must(set_pin_at_machine(*world.replica, {LogId{person.log()}, person.seq()}, pin, "for a test"));
  };
  proto::Call people;
  people.mutable_list()->set_kind(static_cast<std::uint32_t>(Kind::kPerson));
  const proto::RecordRef ada = call(people).list().records(0).record();
  proto::Call add;
  *add.mutable_author() = ada;
  proto::Person keeper;
  keeper.set_name("Ole");
  keeper.add_roles(proto::ROLE_KEEPER);
  add.mutable_log()->add_records()->set_kind(static_cast<std::uint32_t>(Kind::kPerson));
  add.mutable_log()->mutable_records(0)->set_fields(keeper.SerializeAsString());
  const proto::RecordRef ole = call(add).log().records(0);

  const auto invite = [&](const proto::RecordRef& who, const Bytes& pin, HubSession* with) {
    proto::InviteRequest request;
    *request.mutable_admin() = who;
    request.set_pin(pin);
    return world.ask("/v1/invite", request.SerializeAsString(), with);
  };
  // Without a PIN there is nothing to check against.
  CHECK(invite(ada, "258013", &session).status == 403);
  set_pin(ada, "258013");
  set_pin(ole, "1379");

  CHECK(invite(ada, "258013", nullptr).status == 401);
  CHECK(invite(ada, "258014", &session).status == 403);
  CHECK(invite(ole, "1379", &session).status == 401);
  const HubAnswer answer = invite(ada, "258013", &session);
  REQUIRE(answer.status == 200);
  proto::InviteReply reply;
  REQUIRE(reply.ParseFromString(answer.body));
  CHECK(reply.expires_ms() > world.now);
  const auto other = must(FileKeystore::create(world.scratch / "other.key"));
  CHECK(world.enrol(reply.code(), *other).status == 200);
  // Everybody can see who let it in, and from where.
  const auto of_key = [&](const Keystore& key) { return must(world.replica->devices().find(key.public_key())).record; };
  const auto state = must(world.replica->store().records().load(world.replica->store().logs().find_place(of_key(*other))));
  const auto known = device_fields(state->fields);
  CHECK(known->invited_by == RecordId{LogId{ada.log()}, ada.seq()});
  CHECK(known->invited_from == of_key(*world.device));

  // Guessing is slowed down, also for who then knows it.
  for (int i = 0; i < 4; ++i) invite(ada, "0000", &session);
  CHECK(invite(ada, "258013", &session).status == 429);
}

TEST_CASE("without a session, or with an old one, nothing is exchanged or queried", "[hub]") {
  World world;
  for (const char* path : {"/v1/exchange", "/v1/query"}) {
    CHECK(world.ask(path, "").status == 401);
    HubSession invented(world.replica->membership().facility, *world.device, std::string(64, 'a'));
    CHECK(world.ask(path, "", &invented).status == 401);
  }
  REQUIRE(world.enrol(world.new_code(), *world.device).status == 200);
  HubSession session = world.session(*world.device);
  CHECK(world.ask("/v1/query", "", &session).status == 200);
  world.now += Sessions::kLifetimeMs;
  CHECK(world.ask("/v1/query", "", &session).status == 401);
}

TEST_CASE("a revoked device loses its session at once and gets no other", "[hub]") {
  World world;
  REQUIRE(world.enrol(world.new_code(), *world.device).status == 200);
  HubSession session = world.session(*world.device);
  // This strikes as an admin does: strike the device's record.
  proto::Call call;
  call.mutable_list()->set_kind(3);
  call.mutable_list()->set_all_subjects(true);
  proto::Reply reply;
  REQUIRE(reply.ParseFromString(dispatch(*world.replica, call.SerializeAsString())));
  proto::RecordRef device_record;
  for (const auto& record : reply.list().records()) {
    if (record.fields().find("Pool tablet") != Bytes::npos) device_record = record.record();
  }
  REQUIRE(device_record.seq() != 0);
  call.mutable_list()->set_kind(2);
  REQUIRE(reply.ParseFromString(dispatch(*world.replica, call.SerializeAsString())));
  REQUIRE(reply.list().records_size() == 1);
  proto::Call strike;
  *strike.mutable_author() = reply.list().records(0).record();
  *strike.mutable_strike()->mutable_record() = device_record;
  strike.mutable_strike()->set_reason("lost at the beach");
  REQUIRE(reply.ParseFromString(dispatch(*world.replica, strike.SerializeAsString())));
  REQUIRE_FALSE(reply.has_failure());

  const HubAnswer answer = world.ask("/v1/query", "", &session);
  CHECK(answer.status == 403);
  CHECK(code_of(answer) == ErrorCode::kRevokedDevice);
  CHECK(code_of(world.first_step(*world.device)) == ErrorCode::kRevokedDevice);
  CHECK(code_of(world.enrol(world.new_code(), *world.device)) == ErrorCode::kRevokedDevice);
}

TEST_CASE("unknown paths, wrong methods and wrong types are named as such", "[hub]") {
  World world;
  HubRequestHead head{"GET", "/v1/nothing", "", "", "192.0.2.7"};
  CHECK(world.hub->admit(head).refusal->status == 404);
  head.path = "/v1/exchange";
  const auto wrong_method = world.hub->admit(head).refusal;
  CHECK(wrong_method->status == 405);
  CHECK(wrong_method->headers.at(0).second == "POST");
  head = {"POST", "/v1/enrol", "text/plain", "", "192.0.2.7"};
  CHECK(world.hub->admit(head).refusal->status == 415);
}

TEST_CASE("garbage is answered with an error, by every endpoint", "[hub]") {
  World world;
  REQUIRE(world.enrol(world.new_code(), *world.device).status == 200);
  HubSession session = world.session(*world.device);
  const Bytes garbage("\xff\xff\xff\xff garbage", 12);
  CHECK(code_of(world.ask("/v1/enrol", garbage)) == ErrorCode::kMalformed);
  CHECK(code_of(world.ask("/v1/session", garbage)) == ErrorCode::kMalformed);
  CHECK(code_of(world.ask("/v1/exchange", garbage, &session)) == ErrorCode::kMalformed);
  proto::Reply reply;
  REQUIRE(reply.ParseFromString(world.ask("/v1/query", garbage, &session).body));
  CHECK(reply.failure().code() == static_cast<std::uint32_t>(ErrorCode::kMalformed));
}

TEST_CASE("a body may be small before a session and larger in one", "[hub]") {
  World world;
  HubRequestHead head{"POST", "/v1/enrol", "application/x-protobuf", "", "192.0.2.7"};
  CHECK(world.hub->admit(head).body_bytes_max == 64 << 10);
  REQUIRE(world.enrol(world.new_code(), *world.device).status == 200);
  head.path = "/v1/exchange";
  HubSession session = world.session(*world.device);
  head.authorization = must(session.authorize({"POST", head.path}, ""));
  CHECK(world.hub->admit(head).body_bytes_max == 4 << 20);
  head.path = "/v1/query";
  head.authorization = must(session.authorize({"POST", head.path}, ""));
  CHECK(world.hub->admit(head).body_bytes_max == 256 << 10);
  CHECK(code_of(Hub::too_large(4 << 20)) == ErrorCode::kTooLarge);
}

TEST_CASE("requests that were admitted together get no more than one after the other would", "[hub]") {
  PeerLimits limits;
  limits.of_device.bytes_per_minute = 400;
  World world(limits);
  REQUIRE(world.enrol(world.new_code(), *world.device).status == 200);
  HubRequestHead head{"POST", "/v1/query", "application/x-protobuf", "", "192.0.2.7"};
  HubSession session = world.session(*world.device);
  proto::Call call;
  call.mutable_status()->Clear();
  const Bytes body = call.SerializeAsString();
  std::vector<Hub::Admitted> together;
  for (int i = 0; i < 20; ++i) {
    head.authorization = must(session.authorize({"POST", head.path}, body));
    together.push_back(world.hub->admit(head));
  }
  int answered = 0, refused = 0;
  for (const Hub::Admitted& admitted : together) {
    REQUIRE_FALSE(admitted.refusal);
    const HubAnswer answer = world.hub->answer(admitted, body);
    (answer.status == 200 ? answered : refused) += 1;
    if (answer.status != 200) CHECK(answer.status == 429);
  }
  CHECK(answered > 0);
  CHECK(refused > 10);
}

TEST_CASE("a peer hears that the hub has trouble of its own, and no more", "[hub]") {
  const HubAnswer answer = Hub::refuse({ErrorCode::kDiskFull, "writing /srv/secret/hub.db: no space"});
  CHECK(answer.status == 507);
  CHECK(code_of(answer) == ErrorCode::kDiskFull);
  CHECK(answer.body.find("/srv") == Bytes::npos);
}

TEST_CASE("a device or an address that asks for too much waits, and others do not", "[hub]") {
  PeerLimits limits;
  limits.of_device.requests_per_minute = 20;
  limits.of_address.requests_per_minute = 100;
  World world(limits);
  REQUIRE(world.enrol(world.new_code(), *world.device).status == 200);
  HubSession session = world.session(*world.device);
  const auto query = [&](const std::string& peer) { return world.ask("/v1/query", "", &session, peer); };
  for (int i = 0; i < 20; ++i) CHECK(query("192.0.2.9").status == 200);
  const HubAnswer refused = query("192.0.2.9");
  CHECK(refused.status == 429);
  CHECK(code_of(refused) == ErrorCode::kRateLimited);
  REQUIRE(refused.headers.size() == 1);
  CHECK(refused.headers[0].first == "Retry-After");
  CHECK(query("192.0.2.10").status == 429);  // The device is meant, wherever it is.
  world.now += 6'000;
  CHECK(query("192.0.2.9").status == 200);

  for (int i = 0; i < 100; ++i) CHECK(world.ask("/v1/nothing", "", {}, "192.0.2.11").status == 404);
  CHECK(world.ask("/v1/nothing", "", {}, "192.0.2.11").status == 429);
  CHECK(world.ask("/v1/nothing", "", {}, "192.0.2.12").status == 404);
}

TEST_CASE("figures are for the machine itself and whom the operator names", "[hub]") {
  World world;
  const auto status = [&](const std::string& peer) {
    const Hub::Admitted admitted = world.hub->admit({"GET", "/metrics", "", "", peer});
    return admitted.refusal ? admitted.refusal->status : world.hub->answer(admitted, "").status;
  };
  CHECK(status("127.0.0.1") == 200);
  CHECK(status("127.0.0.53") == 200);
  CHECK(status("::/64") == 200);
  for (const char* peer : {"192.0.2.7", "2001:db8:1:2::/64", "12.7.0.1", ""}) CHECK(status(peer) == 404);
  Hub::Options options;
  options.wall_clock = world.clock();
  options.codes_path = world.directory.codes();
  options.metrics_for = {"192.0.2.7"};
  Hub open(*world.replica, world.log, world.metrics, options);
  CHECK_FALSE(open.admit({"GET", "/metrics", "", "", "192.0.2.7"}).refusal);
  CHECK(open.admit({"GET", "/metrics", "", "", "192.0.2.8"}).refusal);
}
