// Goal: at the hub, only who shows their PIN causes what only the hub may write, and no more than their role; PINs are not found by trying,
// and nobody chooses another's. Method: requests over TLS from a thief's enrolled tablet.
#include <call.pb.h>
#include <proving.pb.h>
#include <records.pb.h>

#include <catch2/catch.hpp>

#include "base/built_in_fields.h"
#include "hosts/system_clock.h"
#include "model/kinds.h"
#include "model/sign_in_rules.h"
#include "proving_world.h"
#include "replica/author.h"
#include "store/store.h"
#include "support/attention_now.h"

using namespace wrackline;

namespace {

void put(RecordId id, proto::RecordRef& out) {
  out.set_log(id.log.value);
  out.set_seq(id.seq);
}

proto::Call birth(Kind kind, const google::protobuf::MessageLite& fields) {
  proto::Call call;
  proto::NewRecord& record = *call.mutable_log()->add_records();
  record.set_kind(static_cast<std::uint32_t>(kind));
  record.set_fields(fields.SerializeAsString());
  return call;
}

proto::Call edit(RecordId record, const google::protobuf::MessageLite& fields) {
  proto::Call call;
  put(record, *call.mutable_edit()->mutable_record());
  call.mutable_edit()->set_fields(fields.SerializeAsString());
  call.mutable_edit()->set_reason("so");
  call.mutable_edit()->set_settle(true);
  return call;
}

proto::Call strike(RecordId record, bool lift = false) {
  proto::Call call;
  put(record, *call.mutable_strike()->mutable_record());
  call.mutable_strike()->set_reason("so");
  call.mutable_strike()->set_lift(lift);
  return call;
}

proto::Call fold(RecordId record, RecordId into) {
  proto::Call call;
  put(record, *call.mutable_fold()->mutable_record());
  put(into, *call.mutable_fold()->mutable_into());
  call.mutable_fold()->set_reason("so");
  return call;
}

proto::Person person_of(const std::string& name, std::vector<proto::Role> roles) {
  proto::Person person;
  person.set_name(name);
  for (const proto::Role role : roles) person.add_roles(role);
  return person;
}

// The acts of an admin, as calls.
std::vector<proto::Call> privileged(ProvingWorld& w) {
  proto::Facility rule;
  rule.set_proof_required(false);
  proto::Facility hours;
  hours.set_proof_hours(336);
  proto::Person pin;
  pin.set_pin_set_ms(1);
  proto::Device device;
  device.set_name("own");
  device.set_public_key(Bytes(32, '\5'));
  return {birth(Kind::kPerson, person_of("Mallory", {proto::ROLE_ADMIN})),
          edit(w.kim, person_of("Kim", {proto::ROLE_ADMIN})),
          edit(w.ada, person_of("Ada", {proto::ROLE_KEEPER})),
          edit(w.ada, pin),
          edit(w.home, rule),
          edit(w.home, hours),
          strike(w.ada),
          strike(w.home),
          strike(w.device_of(*w.keeper)),
          fold(w.ada, w.kim),
          birth(Kind::kDevice, device)};
}

bool is_refused(const Result<Bytes>& answer) {
  if (!answer) return true;
  proto::ActReply reply;
  proto::Reply of_core;
  return reply.ParseFromString(*answer) && of_core.ParseFromString(reply.reply()) && of_core.has_failure();
}

}  // namespace

TEST_CASE("the hub writes for an admin who shows her PIN, and says from which tablet she asked", "[attack]") {
  ProvingWorld world;
  CHECK_FALSE(is_refused(world.act(*world.keeper, world.ada, ProvingWorld::kPin, birth(Kind::kPerson, person_of("Iben Moe", {proto::ROLE_KEEPER})).SerializeAsString())));
  must(world.keeper->exchange());
  Store& store = world.keeper->replica().store();
  must(store.refresh());
  const auto people = must(store.records().find(0, Kind::kPerson, 0, 0));
  const RecordId iben = store.logs().id_of(people.back());
  CHECK(must(world.keeper->replica().hub_acts().asked_from(iben, world.ada)) == world.device_of(*world.keeper));
  CHECK_FALSE(must(world.keeper->replica().hub_acts().asked_from(iben, world.otto)));
  const auto state = must(store.records().load(people.back()));
  CHECK(sign_in_person(state->fields).name == "Iben Moe");
}

TEST_CASE("nobody has the hub write it with another's PIN, a wrong one or none", "[attack]") {
  ProvingWorld world;
  for (const proto::Call& call : privileged(world)) {
    const Bytes bytes = call.SerializeAsString();
    for (const RecordId by : {world.otto, world.vera, world.kim}) CHECK(tried(is_refused(world.act(*world.thief, by, ProvingWorld::kKnownPin, bytes))));
    // In Ada's name by the call, with another's PIN.
    proto::Call named = call;
    put(world.ada, *named.mutable_author());
    CHECK(tried(is_refused(world.act(*world.thief, world.otto, ProvingWorld::kKnownPin, named.SerializeAsString()))));
    CHECK(tried(is_refused(world.act(*world.thief, world.ada, ProvingWorld::kKnownPin, bytes))));
    CHECK(tried(is_refused(world.act(*world.thief, world.ada, "", bytes))));
  }
  CHECK(tried(world.is_unchanged()));
}

TEST_CASE("an act is a call that writes, and nothing else", "[attack]") {
  ProvingWorld world;
  const auto refuse = [&](const Bytes& call) { return tried(is_refused(world.act(*world.keeper, world.ada, ProvingWorld::kPin, call))); };
  proto::Call other;
  other.mutable_rebuild();
  CHECK(refuse(other.SerializeAsString()));
  other.mutable_bundle_export();
  CHECK(refuse(other.SerializeAsString()));
  other.mutable_sign_in()->set_pin("1");
  CHECK(refuse(other.SerializeAsString()));
  other.mutable_prove()->set_pin("1");
  CHECK(refuse(other.SerializeAsString()));
  other.mutable_list()->set_kind(2);
  CHECK(refuse(other.SerializeAsString()));
  other.mutable_exchange();
  CHECK(refuse(other.SerializeAsString()));
  CHECK(refuse("\x0a\xff\xff"));
  CHECK(refuse(""));
  // The hub says since when somebody has a PIN, and asks no admin.
  proto::Person pin;
  pin.set_pin_set_ms(1);
  CHECK(refuse(edit(world.kim, pin).SerializeAsString()));
  CHECK(tried(world.is_unchanged()));
}

TEST_CASE("nobody chooses another's PIN, and a new one needs the old or the code", "[attack]") {
  ProvingWorld world;
  const auto refused = [&](RecordId whose, const std::string& secret, const std::string& pin) {
    return tried(!world.choose_pin(*world.thief, whose, secret, pin).has_value());
  };
  CHECK(refused(world.ada, ProvingWorld::kKnownPin, "604812"));
  CHECK(refused(world.ada, "BCDFG-HJKLM", "604812"));
  CHECK(refused(world.otto, ProvingWorld::kKnownPin, "1111"));
  CHECK(refused(world.otto, ProvingWorld::kKnownPin, "7319"));  // Six signs at least for an officer.
  CHECK(refused(world.home, ProvingWorld::kKnownPin, "604812"));
  CHECK(refused(RecordId{}, ProvingWorld::kKnownPin, "604812"));
  proto::ActRequest code;
  put(world.otto, *code.mutable_person());
  code.set_pin(ProvingWorld::kKnownPin);
  put(world.ada, *code.mutable_pin_code_for());
  CHECK(tried(!world.thief->post("/v1/act", code.SerializeAsString()).has_value()));
  put(world.otto, *code.mutable_pin_code_for());
  CHECK(tried(!world.thief->post("/v1/act", code.SerializeAsString()).has_value()));
  CHECK(tried(world.is_unchanged()));
  must(world.prove(*world.keeper, world.ada, ProvingWorld::kPin));
}

TEST_CASE("a PIN is not found by trying, by any of the requests that take one", "[attack]") {
  ProvingWorld world;
  int slowed = 0;
  for (int i = 0; i < 20; ++i) {
    const std::string pin = std::to_string(100000 + i * 7919);
    const auto answer = i % 3 == 0   ? world.prove(*world.thief, world.ada, pin)
                        : i % 3 == 1 ? world.act(*world.thief, world.ada, pin, strike(world.kim).SerializeAsString())
                                     : world.choose_pin(*world.thief, world.ada, pin, "604812");
    CHECK(tried(!answer.has_value()));
    slowed += !answer && answer.error().code == ErrorCode::kRateLimited ? 1 : 0;
  }
  CHECK(slowed >= 17);
  // Not even the right one, now and from there; at her own tablet Ada is not kept waiting by it.
  CHECK(tried(!world.prove(*world.thief, world.ada, ProvingWorld::kPin).has_value()));
  must(world.prove(*world.keeper, world.ada, ProvingWorld::kPin));
  CHECK(world.hub.log().find("event=person_refused") != std::string::npos);
  CHECK(world.hub.log().find("event=act_refused") != std::string::npos);
  CHECK(world.hub.log().find("event=pin_refused") != std::string::npos);
  CHECK(tried(world.is_unchanged()));
}

TEST_CASE("wrong PINs from a stolen tablet are told once, and a warning made up there is not", "[attack]") {
  ProvingWorld world;
  for (int i = 0; i < 30; ++i) CHECK(tried(!world.prove(*world.thief, world.ada, "100000").has_value()));
  // A warning about Otto, whose PIN nobody has tried, is forged as if the hub had written it.
  proto::PinWarning forged;
  put(world.otto, *forged.mutable_person());
  put(world.device_of(*world.keeper), *forged.mutable_device());
  forged.set_since_ms(wall_clock_ms());
  forged.set_at_ms(wall_clock_ms());
  forged.set_times(50);
  must(world.thief->replica().log_unauthored({{static_cast<std::uint32_t>(Kind::kPinWarning), forged.SerializeAsString()}}));
  must(world.thief->exchange());
  must(world.keeper->exchange());
  proto::Reply reply;
  const Bytes call = attention_call(wall_clock_ms()).SerializeAsString();
  const auto told = [&](const Bytes& answer) {
    REQUIRE(reply.ParseFromString(answer));
    REQUIRE(reply.has_attention());
    const auto items = items_of(reply, proto::ATTENTION_RULE_WRONG_PINS);
    return tried(items.size() == 1 && items[0].subject_name() == "Ada" && items[0].what() == "thief (3)");
  };
  CHECK(told(must(world.keeper->post("/v1/query", call))));
  CHECK(told(dispatch(world.keeper->replica(), call, CallScope::kReadOnly)));
  Store& store = world.keeper->replica().store();
  CHECK(tried(must(store.records().find_all_subjects(Kind::kPinWarning, 0, 0)).size() == 1));  // The hub's; the forged one is held.
  CHECK(tried(world.is_unchanged()));
}

TEST_CASE("what an officer has proved at one tablet is no proof at another", "[attack]") {
  ProvingWorld world;
  must(world.prove(*world.keeper, world.otto, ProvingWorld::kKnownPin));
  must(world.keeper->exchange());
  must(world.thief->exchange());
  const auto animals = [&](TestDevice& device) {
    must(device.exchange());
    must(device.exchange());
    must(world.keeper->exchange());
    Store& store = world.keeper->replica().store();
    must(store.refresh());
    return must(store.records().find(0, Kind::kAnimal, 0, 0)).size();
  };
  const std::size_t before = animals(*world.keeper);
  const auto write = [&](TestDevice& device) {
    proto::Animal seal;
    seal.set_name("Nereid of " + device.name());
    must(device.replica().author().log_records(world.otto, {{static_cast<std::uint32_t>(Kind::kAnimal), seal.SerializeAsString(), {}, {}}}));
    return animals(device);
  };
  CHECK(tried(write(*world.thief) == before));
  CHECK(write(*world.keeper) == before + 1);
  CHECK(tried(world.is_unchanged()));
}

TEST_CASE("a request to prove somebody that is broken, of nobody or without a session is refused", "[attack]") {
  ProvingWorld world;
  for (const char* path : {"/v1/presence", "/v1/act", "/v1/pin"}) {
    const auto refuse = [&](const Bytes& body, HubSession* session) { return tried(world.ask(world.request(path, body, session)) != 200); };
    proto::PresenceRequest right;
    put(world.ada, *right.mutable_person());
    right.set_pin(ProvingWorld::kPin);
    CHECK(refuse(right.SerializeAsString(), nullptr));
    CHECK(refuse("", &world.thief->session()));
    CHECK(refuse("\x0a\xff\xff", &world.thief->session()));
    proto::PresenceRequest other = right;
    other.mutable_person()->set_seq(77'777);
    CHECK(refuse(other.SerializeAsString(), &world.thief->session()));
    put(world.home, *other.mutable_person());
    CHECK(refuse(other.SerializeAsString(), &world.thief->session()));
    other = right;
    other.set_pin("");
    CHECK(refuse(other.SerializeAsString(), &world.thief->session()));
    other.set_pin(std::string(100'000, '1'));
    CHECK(refuse(other.SerializeAsString(), &world.thief->session()));
    if (std::string_view(path) != "/v1/presence") continue;
    other = right;
    other.set_pin_mark(Bytes(31, 'x'));
    CHECK(refuse(other.SerializeAsString(), &world.thief->session()));
  }
}

TEST_CASE("a device that signs out at the hub has no session there any more", "[attack]") {
  ProvingWorld world;
  HubSession& session = world.thief->session();
  CHECK(world.ask(world.request("/v1/query", "", &session)) == 200);
  CHECK(world.ask(world.request("/v1/sign-out", "", &session)) == 200);
  CHECK(tried(world.ask(world.request("/v1/query", "", &session)) == 401));
  CHECK(tried(world.ask(world.request("/v1/sign-out", "", &session)) == 401));
  must(world.thief->exchange());  // It opens another.
}
