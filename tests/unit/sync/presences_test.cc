// Goal: where a facility asks for it, what is more than care counts only from somebody who had proved to the hub that they were at the
// device; care always does; and everybody sees which was which. Method: a hub and tablets, real databases, clocks by hand.
#include "base/wire.h"
#include "model/hold.h"
#include "model/presence.h"
#include "replica/at_hub.h"
#include "support/random.h"
#include "support/shift.h"
#include "sync/facility_policy.h"

using namespace wrackline;

namespace {

constexpr WallMs kHour = 3'600'000;

proto::Person person_with(const std::string& name, std::vector<proto::Role> roles) {
  proto::Person person;
  person.set_name(name);
  for (proto::Role role : roles) person.add_roles(role);
  return person;
}

// People with every role, known to two tablets; the facility asks for proofs when `is_required`.
struct Clinic {
  Facility facility;
  Device& north = facility.add_device("north tablet");
  Device& south = facility.add_device("south tablet");
  RecordId home, vet, officer, keeper, animal, food;

  explicit Clinic(bool is_required = true) {
    Replica& hub = *facility.hub().replica;
    const auto log = [&](Kind kind, const google::protobuf::MessageLite& message) {
      return must(hub.log_unauthored({{static_cast<std::uint32_t>(kind), message.SerializeAsString()}})).front();
    };
    proto::Facility self;
    self.set_name("Test Pier");
    self.set_time_zone("Etc/UTC");
    self.set_proof_required(is_required);
    home = log(Kind::kFacility, self);
    vet = log(Kind::kPerson, person_with("Aske Lind", {proto::ROLE_VET}));
    officer = log(Kind::kPerson, person_with("Runa Dahl", {proto::ROLE_OFFICER}));
    keeper = log(Kind::kPerson, person_with("Jo Brekke", {proto::ROLE_KEEPER}));
    proto::Animal seal;
    seal.set_name("Nereid");
    animal = log(Kind::kAnimal, seal);
    proto::Food herring;
    herring.set_name("herring");
    food = log(Kind::kFood, herring);
    facility.exchange_all();
  }
  void let_pass(WallMs ms) {
    for (Device* device : {&facility.hub(), &north, &south}) *device->clock += ms;
  }
  Replica::Presence prove(RecordId person, Device& device) {
    return must(facility.hub().replica->note_presence(person, device.keystore->public_key()));
  }
  // The cause, when it is held at the hub and everywhere else; none when it counts everywhere.
  std::optional<HoldCause> held(RecordId record) {
    facility.exchange_all();
    std::optional<HoldCause> out;
    for (Device* device : {&facility.hub(), &north, &south}) {
      CAPTURE(device->name);
      Store& store = device->replica->store();
      must(store.refresh());
      const auto state = must(store.records().load(store.logs().find_place(record)));
      std::optional<HoldCause> here;
      if (!state || state->kind == 0) {
        for (const Place place : must(store.records().find(0, Kind::kHold, 0, 0))) {
          const auto hold = must(store.records().load(place));
          const HeldChanges changes = held_changes(hold->fields);
          if (store.records().holds().find(place) != nullptr && changes.log == record.log && changes.first <= record.seq && record.seq <= changes.last)
            here = hold_cause(hold->fields);
        }
        CHECK(here);
      }
      if (device != &facility.hub()) CHECK(here == out);
      out = here;
    }
    return out;
  }
  proto::Authorship authorship(RecordId record) {
    facility.exchange_all();
    std::optional<proto::Authorship> out;
    for (Device* device : {&facility.hub(), &north, &south}) {
      must(device->replica->store().refresh());
      const auto trail = Shift(*device, keeper).trail(record);
      REQUIRE(trail.entries_size() > 0);
      const proto::Authorship here = trail.entries(0).authorship();
      if (out) CHECK(here == *out);
      out = here;
    }
    return *out;
  }
};

RecordId order(Clinic& clinic, Device& device) { return Shift(device, clinic.vet).order(clinic.animal); }
RecordId meal(Clinic& clinic, Device& device, RecordId by) { return Shift(device, by).meal(clinic.animal, clinic.food, 510, 1000).first; }

}  // namespace

TEST_CASE("an order by somebody who has proved nothing is held, and a meal counts", "[presence]") {
  Clinic clinic;
  CHECK(clinic.held(order(clinic, clinic.north)) == HoldCause::kUnproven);
  CHECK_FALSE(clinic.held(meal(clinic, clinic.north, clinic.vet)));
  CHECK_FALSE(clinic.held(meal(clinic, clinic.south, clinic.keeper)));
}

TEST_CASE("an order counts while its vet's proof at the tablet lasts, neither before nor after", "[presence]") {
  Clinic clinic;
  const auto presence = clinic.prove(clinic.vet, clinic.north);
  CHECK(presence.until == *clinic.facility.hub().clock + 12 * kHour);
  clinic.let_pass(kHour);
  const RecordId first = order(clinic, clinic.north);
  CHECK_FALSE(clinic.held(first));
  CHECK(clinic.authorship(first) == proto::AUTHORSHIP_PROVEN);
  // Out of reach it goes on counting, and comes later.
  clinic.let_pass(10 * kHour);
  const RecordId at_the_pool = order(clinic, clinic.north);
  clinic.let_pass(20 * kHour);
  CHECK_FALSE(clinic.held(at_the_pool));
  const RecordId next_day = order(clinic, clinic.north);
  CHECK(clinic.held(next_day) == HoldCause::kUnproven);
  clinic.prove(clinic.vet, clinic.north);
  CHECK_FALSE(clinic.held(order(clinic, clinic.north)));
  CHECK(clinic.held(next_day) == HoldCause::kUnproven);  // An officer decides.
}

TEST_CASE("what was written just before the proof, by a clock that may be behind, counts with it", "[presence]") {
  Clinic clinic;
  const RecordId early = order(clinic, clinic.north);
  clinic.let_pass(kPresenceGraceMs + 1000);
  const RecordId just_now = order(clinic, clinic.north);
  clinic.let_pass(1000);
  clinic.prove(clinic.vet, clinic.north);
  CHECK(clinic.held(early) == HoldCause::kUnproven);
  CHECK_FALSE(clinic.held(just_now));
}

TEST_CASE("what comes to the hub days after the proof has ended is proven by nothing", "[presence]") {
  Clinic clinic;
  clinic.prove(clinic.vet, clinic.north);
  clinic.prove(clinic.vet, clinic.south);
  clinic.let_pass(kHour);
  const RecordId weekend = order(clinic, clinic.north), stolen = order(clinic, clinic.south), fed = meal(clinic, clinic.south, clinic.vet);
  clinic.let_pass(70 * kHour);
  must(clinic.facility.exchange(clinic.north));
  clinic.let_pass(20 * kHour);
  CHECK_FALSE(clinic.held(weekend));
  CHECK(clinic.authorship(weekend) == proto::AUTHORSHIP_PROVEN);
  CHECK(clinic.held(stolen) == HoldCause::kUnproven);
  CHECK_FALSE(clinic.held(fed));
  CHECK(clinic.authorship(fed) == proto::AUTHORSHIP_DEVICE);
}

TEST_CASE("a proof is of one person at one tablet", "[presence]") {
  Clinic clinic;
  clinic.prove(clinic.vet, clinic.south);
  clinic.prove(clinic.officer, clinic.north);
  clinic.let_pass(kHour);
  CHECK(clinic.held(order(clinic, clinic.north)) == HoldCause::kUnproven);
  CHECK_FALSE(clinic.held(order(clinic, clinic.south)));
}

TEST_CASE("who is proven to lack the role is held for the role", "[presence]") {
  Clinic clinic;
  clinic.prove(clinic.keeper, clinic.north);
  clinic.let_pass(kHour);
  // This writes like a program that asks no core whether it may.
  proto::TreatmentOrder wanted;
  *wanted.mutable_animal() = ref_of(clinic.animal);
  Replica& north = *clinic.north.replica;
  const auto by_keeper = north.author().log_records(clinic.keeper, {{static_cast<std::uint32_t>(Kind::kTreatmentOrder), wanted.SerializeAsString(), {}, {}}});
  CHECK(code_of(by_keeper) == ErrorCode::kUnauthorized);
}

TEST_CASE("another PIN ends what was proven with the one before", "[presence]") {
  Clinic clinic;
  Replica& hub = *clinic.facility.hub().replica;
  must(set_pin_at_machine(hub, clinic.vet, "604812", "a first one"));
  clinic.let_pass(1000);
  clinic.prove(clinic.vet, clinic.north);
  clinic.let_pass(kHour);
  const RecordId before = order(clinic, clinic.north);
  CHECK_FALSE(clinic.held(before));
  clinic.let_pass(kHour);
  must(set_pin_at_machine(hub, clinic.vet, "731904", "somebody saw her type it"));
  clinic.let_pass(1000);
  clinic.facility.exchange_all();
  CHECK(clinic.held(order(clinic, clinic.north)) == HoldCause::kUnproven);
  CHECK_FALSE(clinic.held(before));
  CHECK(clinic.authorship(before) == proto::AUTHORSHIP_PROVEN);
  clinic.prove(clinic.vet, clinic.north);
  clinic.let_pass(1000);
  clinic.facility.exchange_all();
  CHECK_FALSE(clinic.held(order(clinic, clinic.north)));
}

TEST_CASE("what only the hub may write stays held when the facility asks for no proofs any more", "[presence]") {
  Clinic clinic;
  clinic.prove(clinic.officer, clinic.north);
  clinic.facility.exchange_all();
  Edit role;
  role.record = clinic.keeper;
  role.fields = person_with("", {proto::ROLE_ADMIN}).SerializeAsString();
  role.reason = "a lie";
  role.is_of_hub = true;
  must(clinic.north.replica->author().edit(clinic.officer, role));
  clinic.facility.exchange_all();
  Bytes off;
  append_varint_field(off, 5, 0);
  Edit rule;
  rule.record = clinic.home;
  rule.fields = off;
  rule.reason = "too slow";
  must(clinic.facility.hub().replica->author().edit({}, rule));
  clinic.facility.exchange_all();
  Store& store = clinic.north.replica->store();
  for (const Place hold : must(store.records().find(0, Kind::kHold, 0, 0))) {
    Shift(clinic.north, clinic.officer).strike(store.logs().id_of(hold), "take it in");
  }
  clinic.facility.exchange_all();
  const auto roles = roles_of_person(Shift(clinic.south, clinic.keeper).load(clinic.keeper).fields);
  CHECK(roles == roles_of_keepers());
}

TEST_CASE("a tablet that writes a proof itself proves nothing by it", "[presence]") {
  Clinic clinic;
  const auto device = must(clinic.north.replica->devices().find(clinic.north.keystore->public_key()));
  proto::Presence forged;
  *forged.mutable_person() = ref_of(clinic.vet);
  *forged.mutable_device() = ref_of(device.record);
  forged.set_from_ms(*clinic.north.clock - kHour);
  forged.set_until_ms(*clinic.north.clock + kHour);
  // Unauthored, as only a program would; the hub holds it besides.
  must(clinic.north.replica->log_unauthored({{static_cast<std::uint32_t>(Kind::kPresence), forged.SerializeAsString()}}));
  const RecordId wanted = order(clinic, clinic.north);
  CHECK(clinic.authorship(meal(clinic, clinic.north, clinic.vet)) == proto::AUTHORSHIP_DEVICE);
  CHECK(clinic.held(wanted) == HoldCause::kUnproven);
}

TEST_CASE("everybody sees whether an author is proven, where proofs are not asked for too", "[presence]") {
  Clinic clinic(false);
  const RecordId before = order(clinic, clinic.north);
  CHECK_FALSE(clinic.held(before));
  CHECK(clinic.authorship(before) == proto::AUTHORSHIP_DEVICE);
  CHECK(clinic.authorship(clinic.vet) == proto::AUTHORSHIP_HUB);
  clinic.let_pass(kHour);
  const auto presence = clinic.prove(clinic.vet, clinic.north);
  clinic.let_pass(kHour);
  const RecordId after = order(clinic, clinic.north);
  CHECK(clinic.authorship(after) == proto::AUTHORSHIP_PROVEN);
  CHECK(clinic.authorship(before) == proto::AUTHORSHIP_DEVICE);
  // One that was given to somebody who had seen the PIN is struck, and proves nothing any more.
  Edit strike;
  strike.record = presence.record;
  append_varint_field(strike.fields, kStandingField, kStruck);
  strike.reason = "somebody else knew the PIN";
  must(clinic.facility.hub().replica->author().edit({}, strike));
  CHECK(clinic.authorship(after) == proto::AUTHORSHIP_DEVICE);
  CHECK_FALSE(clinic.held(after));
}

TEST_CASE("proving again soon writes nothing, and later one that lasts longer", "[presence]") {
  Clinic clinic;
  const auto first = clinic.prove(clinic.vet, clinic.north);
  clinic.let_pass(5 * kHour);
  const auto again = clinic.prove(clinic.vet, clinic.north);
  CHECK(again.record == first.record);
  CHECK(again.until == first.until);
  clinic.let_pass(2 * kHour);
  const auto later = clinic.prove(clinic.vet, clinic.north);
  CHECK(later.record != first.record);
  CHECK(later.until == first.until + 7 * kHour);
}

TEST_CASE("a device that may not come proves nobody", "[presence]") {
  Clinic clinic;
  Replica& hub = *clinic.facility.hub().replica;
  SeededKeystore stranger(77);
  CHECK(code_of(hub.note_presence(clinic.vet, stranger.public_key())) == ErrorCode::kUnknownDevice);
  Edit strike;
  strike.record = must(hub.devices().find(clinic.north.keystore->public_key())).record;
  append_varint_field(strike.fields, kStandingField, kStruck);
  strike.reason = "lost";
  must(hub.author().edit({}, strike));
  CHECK(code_of(hub.note_presence(clinic.vet, clinic.north.keystore->public_key())) == ErrorCode::kRevokedDevice);
}

TEST_CASE("for how long a proof is good is the facility's to say", "[presence]") {
  Clinic clinic;
  proto::Facility longer;
  longer.set_proof_hours(14 * 24);
  Edit edit;
  edit.record = clinic.home;
  edit.fields = longer.SerializeAsString();
  edit.reason = "a boat that is out for days";
  must(clinic.facility.hub().replica->author().edit({}, edit));
  CHECK(clinic.prove(clinic.vet, clinic.north).until == *clinic.facility.hub().clock + 14 * 24 * kHour);
  longer.set_proof_hours(14 * 24 + 1);
  edit.fields = longer.SerializeAsString();
  CHECK(code_of(clinic.facility.hub().replica->author().edit({}, edit)) == ErrorCode::kInvalid);
}

TEST_CASE("in any order of arrival an unproven act counts nowhere and a proven one everywhere", "[presence]") {
  Random random = test_random("presences");
  for (int round = 0; round < 8; ++round) {
    Clinic clinic;
    std::map<RecordId, bool> proven;   // Orders, and whether their vet had proved it then.
    std::map<Device*, WallMs> until;
    for (int step = 0; step < 25; ++step) {
      Device& at = random.once_in(2) ? clinic.north : clinic.south;
      switch (random.below(4)) {
        case 0:
          clinic.let_pass(kPresenceGraceMs + 1);  // Else it would cover what was just written.
          until[&at] = clinic.prove(clinic.vet, at).until;
          break;
        case 1:
          must(clinic.facility.exchange(at));
          break;
        default:
          clinic.let_pass(random.below(5 * kHour));
          proven[order(clinic, at)] = *at.clock <= until[&at];
          break;
      }
    }
    for (const auto& [record, is_proven] : proven) CHECK(clinic.held(record).has_value() == !is_proven);
    REQUIRE(state_of(clinic.north) == state_of(clinic.facility.hub()));
    REQUIRE(state_of(clinic.south) == state_of(clinic.facility.hub()));
  }
}
