// Goal: where the facility asks for proofs, a device alone causes nothing but care: no person, role, PIN, device or rule changes on
// its word, whatever author it names. Method: a second enrolled device over TLS, with a core of its own that writes in the admin's name.
#include <call.pb.h>
#include <proving.pb.h>
#include <records.pb.h>

#include <catch2/catch.hpp>

#include "attack_world.h"
#include "base/built_in_fields.h"
#include "base/wire.h"
#include "hub_records.h"
#include "model/kinds.h"
#include "people.h"
#include "replica/author.h"
#include "set_pin.h"
#include "store/store.h"

using namespace wrackline;

namespace {

constexpr const char* kPin = "824613";

// What decides who may do what, as a replica shows it.
std::vector<std::string> authority_in(Replica& replica) {
  Store& store = replica.store();
  must(store.refresh());
  std::vector<std::string> out;
  for (const Kind kind : {Kind::kFacility, Kind::kPerson, Kind::kDevice, Kind::kSiteLimit}) {
    for (const Place place : must(store.records().find(0, kind, 0, 0))) {
      const auto state = must(store.records().load(place));
      if (state) out.push_back(std::to_string(static_cast<int>(kind)) + " " + to_text(store.logs().id_of(place)) + " " + to_hex(state->fields));
    }
  }
  std::sort(out.begin(), out.end());
  return out;
}

struct ProvingWorld : AttackWorld {
  RecordId ada, home;

  ProvingWorld() : AttackWorld(quick()) {
    must(set_pin({hub.directory, "Ada", kPin, "her first"}));
    {
      auto records = must(HubRecords::open(hub.directory, "setting the stage"));
      Store& store = records.replica->store();
      home = store.logs().id_of(must(store.records().find(0, Kind::kFacility, 0, 0)).front());
      ada = must(find_admin(*records.replica, "Ada", "looking"));
      proto::Facility rule;
      rule.set_proof_required(true);
      Edit edit;
      edit.record = home;
      edit.fields = rule.SerializeAsString();
      edit.reason = "what is more than care is to be proven";
      must(records.replica->author().edit({}, edit));
    }
    must(keeper->exchange());
    must(thief->exchange());
    secrets.push_back(kPin);
  }
  ~ProvingWorld() { rebase(); }
  // What was held meanwhile is no change of what the attack suite looks at.
  void rebase() {
    must(keeper->exchange());
    digest_before = keeper->hub_digest();
    changes_before = hub_changes();
  }

  Status edit_as_ada(TestDevice& device, RecordId record, const Bytes& fields, const std::string& reason) {
    Edit edit;
    edit.record = record;
    edit.fields = fields;
    edit.reason = reason;
    edit.settle = true;
    const auto done = device.replica().author().edit(ada, std::move(edit));
    return done ? Status() : Status(fail(done.error()));
  }
  Result<Bytes> prove(TestDevice& device, RecordId person, const std::string& pin) {
    proto::PresenceRequest request;
    request.mutable_person()->set_log(person.log.value);
    request.mutable_person()->set_seq(person.seq);
    request.set_pin(pin);
    return device.post("/v1/presence", request.SerializeAsString());
  }
  RecordId device_of(TestDevice& asked, TestDevice& device) { return must(asked.replica().devices().find(device.key().public_key())).record; }

  // Everything an admin may do, in Ada's name.
  void do_all_as_ada(TestDevice& device) {
    proto::Person pin;
    pin.set_pin(Bytes(52, '\7'));
    must(edit_as_ada(device, ada, pin.SerializeAsString(), "forgot it"));
    proto::Person own;
    own.set_name("Mallory");
    own.add_roles(proto::ROLE_ADMIN);
    own.add_roles(proto::ROLE_OFFICER);
    must(device.replica().author().log_records(ada, {{static_cast<std::uint32_t>(Kind::kPerson), own.SerializeAsString(), {}, {}}}));
    Bytes struck;
    append_varint_field(struck, kStandingField, kStruck);
    must(edit_as_ada(device, device_of(device, *keeper), struck, "stolen"));
    Bytes rule;
    append_varint_field(rule, 5, 0);
    must(edit_as_ada(device, home, rule, "too slow"));
    proto::Person name;
    name.set_name("Ada Lind");
    must(edit_as_ada(device, ada, name.SerializeAsString(), "married"));
  }
};

}  // namespace

TEST_CASE("in an admin's name a device changes no person, role, PIN, device or rule", "[attack]") {
  ProvingWorld world;
  const auto before = authority_in(world.keeper->replica());
  world.do_all_as_ada(*world.thief);
  must(world.thief->exchange());
  must(world.keeper->exchange());
  CHECK(tried(authority_in(world.keeper->replica()) == before));
  // On the hub's word it is undone on the device that wrote it, too.
  must(world.thief->exchange());
  CHECK(tried(authority_in(world.thief->replica()) == before));
  CHECK(tried(!world.prove(*world.thief, world.ada, "0000").has_value()));
}

TEST_CASE("carried to another device in a bundle, it changes nothing either", "[attack]") {
  ProvingWorld world;
  const auto before = authority_in(world.keeper->replica());
  world.do_all_as_ada(*world.thief);
  must(world.keeper->replica().import_bundle(must(world.thief->replica().export_bundle({})).bytes, false));
  must(world.keeper->exchange());
  CHECK(tried(authority_in(world.keeper->replica()) == before));
}

TEST_CASE("what an admin has proved at one tablet is no proof at another", "[attack]") {
  ProvingWorld world;
  must(world.keeper->exchange());
  must(world.prove(*world.keeper, world.ada, kPin));
  must(world.keeper->exchange());
  const auto before = authority_in(world.keeper->replica());
  world.do_all_as_ada(*world.thief);
  must(world.thief->exchange());
  must(world.keeper->exchange());
  CHECK(tried(authority_in(world.keeper->replica()) == before));

  // At hers she does as she likes.
  proto::Person own;
  own.set_name("Iben Moe");
  own.add_roles(proto::ROLE_KEEPER);
  must(world.keeper->replica().author().log_records(world.ada, {{static_cast<std::uint32_t>(Kind::kPerson), own.SerializeAsString(), {}, {}}}));
  must(world.keeper->exchange());
  must(world.keeper->exchange());
  CHECK(authority_in(world.keeper->replica()).size() == before.size() + 1);
}

TEST_CASE("a PIN is not found by trying, and a right one of another person helps nobody", "[attack]") {
  ProvingWorld world;
  must(set_pin({world.hub.directory, "Keeper 1 of keeper", "604812", "a first one"}));
  must(world.thief->exchange());
  must(world.keeper->exchange());
  RecordId keeper;
  {
    auto records = must(HubRecords::open(world.hub.directory, "looking"));
    keeper = must(find_person(*records.replica, "Keeper 1 of keeper", "looking"));
  }
  must(world.prove(*world.thief, keeper, "604812"));
  const auto before = authority_in(world.keeper->replica());
  world.do_all_as_ada(*world.thief);
  must(world.thief->exchange());
  must(world.keeper->exchange());
  CHECK(tried(authority_in(world.keeper->replica()) == before));
  CHECK(tried(world.prove(*world.thief, world.ada, "604812").error().code == ErrorCode::kUnauthorized));
  int slowed = 0;
  for (int i = 0; i < 20; ++i) {
    const auto answer = world.prove(*world.thief, world.ada, std::to_string(100000 + i * 7919));
    CHECK(tried(!answer.has_value()));
    slowed += !answer && answer.error().code == ErrorCode::kRateLimited ? 1 : 0;
  }
  CHECK(slowed >= 17);
  // Not even the right one, now and from there; at her own tablet Ada is not kept waiting by it.
  CHECK(tried(!world.prove(*world.thief, world.ada, kPin).has_value()));
  must(world.prove(*world.keeper, world.ada, kPin));
  CHECK(world.hub.log().find("event=person_refused") != std::string::npos);
}

TEST_CASE("a request to prove somebody that is broken, of nobody or without a session is refused", "[attack]") {
  ProvingWorld world;
  const auto refuse = [&](const Bytes& body, const std::string& token) { return tried(world.ask(world.request("/v1/presence", body, token)) != 200); };
  proto::PresenceRequest right;
  right.mutable_person()->set_log(world.ada.log.value);
  right.mutable_person()->set_seq(world.ada.seq);
  right.set_pin(kPin);
  CHECK(refuse(right.SerializeAsString(), ""));
  CHECK(refuse("", world.thief->token()));
  CHECK(refuse("\x0a\xff\xff", world.thief->token()));
  proto::PresenceRequest other = right;
  other.mutable_person()->set_seq(77'777);
  CHECK(refuse(other.SerializeAsString(), world.thief->token()));
  other.mutable_person()->set_log(world.home.log.value);
  other.mutable_person()->set_seq(world.home.seq);
  CHECK(refuse(other.SerializeAsString(), world.thief->token()));
  other = right;
  other.set_pin("");
  CHECK(refuse(other.SerializeAsString(), world.thief->token()));
  other.set_pin(std::string(100'000, '1'));
  CHECK(refuse(other.SerializeAsString(), world.thief->token()));
}
