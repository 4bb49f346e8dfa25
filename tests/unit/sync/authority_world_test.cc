// Goal: where the facility asks for proofs, nothing that devices write, carry, prove without the admin's PIN or put back changes people,
// roles, devices, limits or rules, in whatever order they do it; what the admin asks of the hub does. Method: a hub, an honest desk and a
// thief's tablet with a core that asks nobody; all sequences of its acts up to a depth (WRACKLINE_AUTHORITY_DEPTH, 2 in every run), and
// longer ones by chance. PINs themselves are tried in call/sign_in_test.cc; here an officer's is known to the thief, the admin's is not.
#include <algorithm>
#include <cstdlib>
#include <filesystem>
#include <iostream>

#include "base/built_in_fields.h"
#include "base/wire.h"
#include "model/hold.h"
#include "replica/at_hub.h"
#include "support/random.h"
#include "support/shift.h"
#include "support/wire_field.h"

using namespace wrackline;

namespace {

constexpr const char* kLegit = "asked for by Ada";

struct AuthorityWorld {
  Facility facility;
  Device& thief = facility.add_device("thief's tablet");
  Device& desk = facility.add_device("desk");
  RecordId home, ada, otto, kim;
  std::vector<std::string> before;
  std::string copy;

  AuthorityWorld() {
    const auto log = [&](Kind kind, const google::protobuf::MessageLite& message) {
      return must(hub().log_unauthored({{static_cast<std::uint32_t>(kind), message.SerializeAsString()}})).front();
    };
    const auto person = [&](const std::string& name, std::vector<proto::Role> roles) {
      proto::Person made;
      made.set_name(name);
      for (const proto::Role role : roles) made.add_roles(role);
      return log(Kind::kPerson, made);
    };
    proto::Facility self;
    self.set_name("Test Pier");
    self.set_time_zone("Etc/UTC");
    self.set_proof_required(true);
    home = log(Kind::kFacility, self);
    ada = person("Ada", {proto::ROLE_ADMIN});
    otto = person("Otto", {proto::ROLE_OFFICER, proto::ROLE_CURATOR});
    kim = person("Kim", {proto::ROLE_KEEPER});
    facility.exchange_all();
    must(hub().note_presence(ada, desk.keystore->public_key()));
    facility.exchange_all();
    before = authority_in(desk);
    copy = thief.path + ".copy";
    thief.replica.reset();  // Whole, without what stands beside it while it is open.
    std::filesystem::copy_file(thief.path, copy);
    thief.reopen();
  }
  Replica& hub() { return *facility.hub().replica; }
  RecordId record_of(Device& device) { return must(hub().devices().find(device.keystore->public_key())).record; }

  // Without what the admin has asked of the hub.
  std::vector<std::string> authority_in(Device& device) {
    Store& store = device.replica->store();
    must(store.refresh());
    std::vector<std::string> out;
    for (const Kind kind : {Kind::kFacility, Kind::kPerson, Kind::kDevice, Kind::kSiteLimit}) {
      for (const Place place : must(store.records().find(0, kind, 0, 0))) {
        const auto state = must(store.records().load(place));
        if (!state || state->fields.find(kLegit) != Bytes::npos) continue;
        out.push_back(std::to_string(static_cast<int>(kind)) + " " + to_text(store.logs().id_of(place)) + " " + to_hex(state->fields));
      }
    }
    std::sort(out.begin(), out.end());
    return out;
  }

  void lie(RecordId by, RecordId record, const Bytes& fields) {
    Edit edit;
    edit.record = record;
    edit.fields = fields;
    edit.reason = "a lie";
    edit.settle = true;
    edit.is_of_hub = true;  // The thief's core asks for nobody's role.
    (void)thief.replica->author().edit(by, std::move(edit));
  }
  void lie_of_holds(const Bytes& fields) {
    Store& store = thief.replica->store();
    must(store.refresh());
    for (const Place place : must(store.records().find(0, Kind::kHold, 0, 0))) lie(otto, store.logs().id_of(place), fields);
  }
  // Has `by` ask the hub with their PIN, from a device.
  bool ask_hub(RecordId by, Device& device, RecordId record, const proto::Person& person) {
    proto::Call call;
    if (record) {
      *call.mutable_edit()->mutable_record() = ref_of(record);
      call.mutable_edit()->set_fields(person.SerializeAsString());
      call.mutable_edit()->set_reason("so");
      call.mutable_edit()->set_settle(true);
    } else {
      proto::NewRecord& made = *call.mutable_log()->add_records();
      made.set_kind(static_cast<std::uint32_t>(Kind::kPerson));
      made.set_fields(person.SerializeAsString());
    }
    proto::Reply reply;
    REQUIRE(reply.ParseFromString(dispatch_at_hub(hub(), call.SerializeAsString(), {by, record_of(device)})));
    return !reply.has_failure();
  }
  // Otto has the hub take in whatever it holds, with his PIN.
  void ask_for_holds() {
    Store& store = hub().store();
    must(store.refresh());
    for (const Place place : must(store.records().find(0, Kind::kHold, 0, 0))) {
      proto::Call call;
      *call.mutable_strike()->mutable_record() = ref_of(store.logs().id_of(place));
      call.mutable_strike()->set_reason("take it in");
      (void)dispatch_at_hub(hub(), call.SerializeAsString(), {otto, record_of(thief)});
    }
  }
  void put_thief_back() {
    thief.replica.reset();
    for (const char* beside : {"-wal", "-shm"}) std::filesystem::remove(thief.path + beside);
    std::filesystem::copy_file(copy, thief.path, std::filesystem::copy_options::overwrite_existing);
    thief.reopen();
  }
};

proto::Person with_role(proto::Role role, const std::string& name = {}) {
  proto::Person out;
  if (!name.empty()) out.set_name(name);
  out.add_roles(role);
  return out;
}

struct WorldAct {
  const char* name;
  void (*play)(AuthorityWorld&);
};

const std::vector<WorldAct>& acts() {
  using W = AuthorityWorld;
  static const std::vector<WorldAct> all = {
      {"the thief writes an admin in Ada's name",
       [](W& w) {
         (void)w.thief.replica->author().log_records(
             w.ada, {{static_cast<std::uint32_t>(Kind::kPerson), with_role(proto::ROLE_ADMIN, "Mallory").SerializeAsString(), {}, {}}});
       }},
      {"the thief gives Kim the admin's role in Otto's name", [](W& w) { w.lie(w.otto, w.kim, with_role(proto::ROLE_ADMIN).SerializeAsString()); }},
      {"the thief strikes Ada in her own name", [](W& w) { w.lie(w.ada, w.ada, number_field(kStandingField, kStruck)); }},
      {"the thief folds Ada into Kim in Otto's name", [](W& w) { w.lie(w.otto, w.ada, reference_field(kSameAsField, w.kim)); }},
      {"the thief strikes the desk in Ada's name", [](W& w) { w.lie(w.ada, w.record_of(w.desk), number_field(kStandingField, kStruck)); }},
      {"the thief asks for proofs no more, in Ada's name", [](W& w) { w.lie(w.ada, w.home, number_field(5, 0)); }},
      {"the thief writes that Ada was there",
       [](W& w) {
         proto::Presence forged;
         *forged.mutable_person() = ref_of(w.ada);
         *forged.mutable_device() = ref_of(w.record_of(w.thief));
         forged.set_until_ms(~0ull >> 1);
         (void)w.thief.replica->log_unauthored({{static_cast<std::uint32_t>(Kind::kPresence), forged.SerializeAsString()}});
       }},
      {"Otto proves himself at the thief's tablet", [](W& w) { must(w.hub().note_presence(w.otto, w.thief.keystore->public_key())); }},
      {"Otto takes in all that is held", [](W& w) { w.lie_of_holds(number_field(kStandingField, kStruck)); }},
      {"Otto moves what is held", [](W& w) { w.lie_of_holds(number_field(3, 1)); }},
      {"Otto folds what is held away", [](W& w) { w.lie_of_holds(reference_field(kSameAsField, w.kim)); }},
      {"Otto asks the hub to take in all that is held",
       [](W& w) { w.ask_for_holds(); }},
      {"Otto asks the hub to give Kim the admin's role", [](W& w) { CHECK_FALSE(w.ask_hub(w.otto, w.thief, w.kim, with_role(proto::ROLE_ADMIN))); }},
      {"Ada asks the hub for a person, from the desk", [](W& w) { CHECK(w.ask_hub(w.ada, w.desk, {}, with_role(proto::ROLE_KEEPER, kLegit))); }},
      {"the thief exchanges", [](W& w) { (void)w.facility.exchange(w.thief); }},
      {"the desk carries the thief's bundle", [](W& w) {
         if (const auto bundle = w.thief.replica->export_bundle({})) (void)w.desk.replica->import_bundle(bundle->bytes, false);
         (void)w.facility.exchange(w.desk);
       }},
      {"thirteen hours pass", [](W& w) {
         for (Device* device : {&w.facility.hub(), &w.thief, &w.desk}) *device->clock += 13 * kHourMs;
       }},
      {"the thief's clock is put back a month", [](W& w) { *w.thief.clock -= 30 * kDayMs; }},
      {"the thief's tablet is put back", [](W& w) { w.put_thief_back(); }},
      {"the hub is started anew", [](W& w) { w.facility.hub().reopen(); }},
  };
  return all;
}

void play(const std::vector<std::size_t>& sequence) {
  AuthorityWorld world;
  std::string told;
  for (const std::size_t index : sequence) {
    told += std::string(told.empty() ? "" : "; ") + acts()[index].name;
    acts()[index].play(world);
  }
  INFO(told);
  // Then everybody meets, and Otto, who is proven by now, takes in whatever is held; twice, since that is held in turn.
  for (int round = 0; round < 2; ++round) {
    for (Device* device : {&world.thief, &world.desk, &world.thief}) (void)world.facility.exchange(*device);
    must(world.hub().note_presence(world.otto, world.thief.keystore->public_key()));
    (void)world.facility.exchange(world.thief);
    world.lie_of_holds(number_field(kStandingField, kStruck));
    (void)world.facility.exchange(world.thief);
    world.ask_for_holds();
  }
  for (Device* device : {&world.thief, &world.desk, &world.thief}) (void)world.facility.exchange(*device);
  REQUIRE(world.authority_in(world.facility.hub()) == world.before);
  REQUIRE(world.authority_in(world.desk) == world.before);
}

}  // namespace

TEST_CASE("no sequence of what devices do without the admin's PIN changes who may do what", "[authority]") {
  const char* text = std::getenv("WRACKLINE_AUTHORITY_DEPTH");
  const unsigned depth = text == nullptr ? 2 : static_cast<unsigned>(std::atoi(text));
  std::vector<std::size_t> sequence;
  std::uint64_t played = 0;
  const std::function<void()> go_on = [&] {
    if (sequence.size() == depth) {
      play(sequence);
      ++played;
      return;
    }
    for (std::size_t index = 0; index < acts().size(); ++index) {
      sequence.push_back(index);
      go_on();
      sequence.pop_back();
    }
  };
  go_on();
  std::cout << "authority: all " << played << " sequences of " << depth << " of " << acts().size() << " acts, none changed who may do what\n";
}

TEST_CASE("nor does a long sequence by chance", "[authority]") {
  Random random = test_random("authority");
  INFO("WRACKLINE_SEED=" << test_seed());
  for (int i = 0; i < 12; ++i) {
    std::vector<std::size_t> sequence;
    for (int act = 0; act < 14; ++act) sequence.push_back(static_cast<std::size_t>(random.below(acts().size())));
    play(sequence);
  }
}
