// Goal: what the hub may not accept is kept, out of account and shown, on every replica alike; and one strike takes
// it in. Method: people whose roles change while tablets are out of reach, real databases, projections made anew.
#include "base/wire.h"
#include "model/hold.h"
#include "support/random.h"
#include "support/shift.h"

using namespace wrackline;

namespace {

proto::Person person_with(const std::string& name, std::vector<proto::Role> roles) {
  proto::Person person;
  person.set_name(name);
  for (proto::Role role : roles) person.add_roles(role);
  return person;
}

proto::TreatmentOrder an_order(RecordId animal, RecordId vet) {
  proto::TreatmentOrder order;
  *order.mutable_ordered_by() = ref_of(vet);
  *order.mutable_animal() = ref_of(animal);
  order.set_preparation("as the vet wrote it");
  order.set_dose_ug(50'000);
  order.set_route("by mouth, in a fish");
  order.add_slots_min(480);
  order.set_first_day(20'000);
  return order;
}

// A vet who loses the role while their tablet is out of reach.
struct Clinic {
  Facility facility;
  Device& desk = facility.add_device("desk");
  Device& tablet = facility.add_device("north tablet");
  RecordId animal, vet;

  Clinic() {
    facility.exchange_all();
    Shift admin(desk, facility.keeper());
    animal = admin.animal("Nereid");
    vet = admin.log(Kind::kPerson, person_with("Aske Lind", {proto::ROLE_VET}));
    facility.exchange_all();
  }
  void take_role_away() {
    *desk.clock += 60'000;
    must(Shift(desk, facility.keeper()).try_edit(vet, person_with("", {proto::ROLE_KEEPER}), "left the clinic"));
    must(facility.exchange(desk));
  }
  RecordId order_on_tablet() { return Shift(tablet, vet).log(Kind::kTreatmentOrder, an_order(animal, vet)); }
  // The holds in account on a device.
  std::vector<RecordId> holds(Device& device) {
    std::vector<RecordId> out;
    for (Place place : must(device.replica->store().records().find(0, Kind::kHold, 0, 0))) {
      if (device.replica->store().records().holds().find(place) != nullptr) {
        out.push_back(device.replica->store().logs().id_of(place));
      }
    }
    return out;
  }
  bool is_in_account(Device& device, RecordId record) {
    must(device.replica->store().refresh());
    Store& store = device.replica->store();
    const auto state = must(store.records().load(store.logs().find_place(record)));
    return state && state->kind != 0;
  }
};

}  // namespace

TEST_CASE("somebody without the role is refused on the device, in words, and nothing is logged", "[hold]") {
  Clinic clinic;
  const RecordId keeper = Shift(clinic.desk, clinic.facility.keeper()).log(Kind::kPerson, person_with("Jo Brekke", {proto::ROLE_KEEPER}));
  const std::string before = state_of(clinic.desk);
  const auto result = clinic.desk.replica->author().log_records(
      keeper, {{static_cast<std::uint32_t>(Kind::kTreatmentOrder), an_order(clinic.animal, keeper).SerializeAsString(), {}, {}}});
  REQUIRE(code_of(result) == ErrorCode::kUnauthorized);
  CHECK(result.error().message == "logging a treatment order: this is for a vet, which the person signed in is not; nothing was logged; ask one, or have an admin give the role");
  CHECK(state_of(clinic.desk) == before);
}

TEST_CASE("nobody gives themselves a role, nor says since when they have a PIN", "[hold]") {
  Clinic clinic;
  const RecordId keeper = Shift(clinic.desk, clinic.facility.keeper()).log(Kind::kPerson, person_with("Jo Brekke", {proto::ROLE_KEEPER}));
  Shift self(clinic.desk, keeper);
  CHECK(code_of(self.try_edit(keeper, person_with("", {proto::ROLE_ADMIN}), "I want to")) == ErrorCode::kUnauthorized);
  proto::Person pin;
  pin.set_pin_set_ms(*clinic.desk.clock);
  CHECK(code_of(self.try_edit(keeper, pin, "a new one")) == ErrorCode::kUnauthorized);
  CHECK(code_of(self.try_edit(clinic.vet, pin, "somebody else's")) == ErrorCode::kUnauthorized);
}

TEST_CASE("an order written after the role ended is held everywhere, kept, and told to its tablet", "[hold]") {
  Clinic clinic;
  clinic.take_role_away();
  *clinic.tablet.clock += 120'000;
  const RecordId order = clinic.order_on_tablet();
  REQUIRE(clinic.is_in_account(clinic.tablet, order));
  clinic.facility.exchange_all();
  for (Device* device : {&clinic.facility.hub(), &clinic.desk, &clinic.tablet}) {
    CAPTURE(device->name);
    CHECK_FALSE(clinic.is_in_account(*device, order));
    CHECK(clinic.holds(*device).size() == 1);
    CHECK(state_of(*device) == state_of(clinic.desk));
  }
  // Its bytes are there all the same.
  Store& store = clinic.desk.replica->store();
  CHECK_FALSE(must(store.logs().bytes_of(store.logs().find_place(order))).empty());
  const auto review = Shift(clinic.tablet, clinic.facility.keeper()).review();
  REQUIRE(review.items_size() == 1);
  CHECK(review.items(0).rule_name() == "held");
}

TEST_CASE("what was written while the role was there counts, however late it arrives", "[hold]") {
  Clinic clinic;
  const RecordId order = clinic.order_on_tablet();
  clinic.take_role_away();
  clinic.facility.exchange_all();
  CHECK(clinic.is_in_account(clinic.desk, order));
  CHECK(clinic.holds(clinic.desk).empty());
}

TEST_CASE("an officer takes a held change in by striking the hold, and leaves it out by accepting it", "[hold]") {
  Clinic clinic;
  clinic.take_role_away();
  *clinic.tablet.clock += 120'000;
  const RecordId order = clinic.order_on_tablet();
  clinic.facility.exchange_all();
  const RecordId hold = clinic.holds(clinic.desk).front();
  Shift officer(clinic.desk, clinic.facility.keeper());
  officer.strike(hold, "the vet was still on duty");
  CHECK(clinic.is_in_account(clinic.desk, order));
  clinic.facility.exchange_all();
  for (Device* device : {&clinic.facility.hub(), &clinic.tablet}) {
    CAPTURE(device->name);
    CHECK(clinic.is_in_account(*device, order));
    CHECK(state_of(*device) == state_of(clinic.desk));
  }
  officer.strike(hold, "not on duty after all", true);
  CHECK_FALSE(clinic.is_in_account(clinic.desk, order));
  CHECK(officer.review().items_size() == 1);
  proto::Call accept;
  *accept.mutable_accept()->mutable_record() = ref_of(hold);
  accept.mutable_accept()->set_rule(static_cast<std::uint32_t>(ReviewRule::kHeld));
  accept.mutable_accept()->set_reason("written again by the new vet");
  officer.must_call(accept);
  CHECK(officer.review().items_size() == 0);
  CHECK_FALSE(clinic.is_in_account(clinic.desk, order));
  clinic.facility.exchange_all();
  CHECK(state_of(clinic.tablet) == state_of(clinic.desk));
}

TEST_CASE("a role given to oneself by a broken writer gives nothing", "[hold]") {
  Clinic clinic;
  clinic.take_role_away();
  // The tablet still believes in the old role; its vet makes themselves an admin by way of an admin's absence.
  *clinic.tablet.clock += 120'000;
  Edit promotion;
  promotion.record = clinic.vet;
  promotion.fields = person_with("", {proto::ROLE_VET, proto::ROLE_ADMIN}).SerializeAsString();
  promotion.reason = "by myself";
  // No author at all: only a writer that is not ours gets this far.
  must(clinic.tablet.replica->author().edit({}, promotion));
  const RecordId order = clinic.order_on_tablet();
  clinic.facility.exchange_all();
  CHECK_FALSE(clinic.is_in_account(clinic.desk, order));
  const auto vet = Shift(clinic.desk, clinic.facility.keeper()).load(clinic.vet);
  CHECK(roles_of_person(vet.fields) == Roles{1} << proto::ROLE_KEEPER);
  CHECK(state_of(clinic.tablet) == state_of(clinic.desk));
}

TEST_CASE("a device that makes holds of its own holds nothing", "[hold]") {
  Clinic clinic;
  const RecordId meal = Shift(clinic.desk, clinic.facility.keeper()).meal(clinic.animal, Shift(clinic.desk, clinic.facility.keeper()).food("herring"), 480, 1'000'000).first;
  clinic.facility.exchange_all();
  must(clinic.tablet.replica->author().log_records(
      {}, {{static_cast<std::uint32_t>(Kind::kHold), hold_fields({meal.log, 1, kSeqMax}, HoldCause::kRole, "mine", 1), {}, {}}}));
  CHECK(clinic.is_in_account(clinic.tablet, meal));
  clinic.facility.exchange_all();
  for (Device* device : {&clinic.facility.hub(), &clinic.desk, &clinic.tablet}) CHECK(clinic.is_in_account(*device, meal));
  CHECK(state_of(clinic.tablet) == state_of(clinic.desk));
}

TEST_CASE("an author who arrives after what they wrote is waited for, and then it counts", "[hold]") {
  Clinic clinic;
  Device& other = clinic.facility.add_device("south tablet");
  clinic.facility.exchange_all();
  // The person is made on one tablet and writes on another, which got the person by bundle and meets the hub first.
  const RecordId person = Shift(other, clinic.facility.keeper()).log(Kind::kPerson, person_with("Siv Rud", {proto::ROLE_VET}));
  must(clinic.tablet.replica->import_bundle(must(other.replica->export_bundle({})).bytes, false));
  const RecordId order = Shift(clinic.tablet, person).log(Kind::kTreatmentOrder, an_order(clinic.animal, clinic.vet));
  must(clinic.facility.exchange(clinic.tablet));  // Carries both logs.
  CHECK(clinic.is_in_account(clinic.facility.hub(), order));
  CHECK(clinic.holds(clinic.facility.hub()).empty());
}

TEST_CASE("what a revoked device wrote is held by the hub, and taken by others from the hub only", "[hold]") {
  Clinic clinic;
  const RecordId order = clinic.order_on_tablet();
  const Bytes bundle = must(clinic.tablet.replica->export_bundle({})).bytes;
  Device& carrier = clinic.facility.add_device("carrier");
  must(clinic.facility.exchange(carrier));
  // The carrier takes the tablet's changes while it knows of no revocation.
  must(carrier.replica->import_bundle(bundle, false));
  const auto device = must(clinic.desk.replica->devices().find(clinic.tablet.keystore->public_key()));
  Shift(clinic.desk, clinic.facility.keeper()).strike(device.record, "lost on the quay");
  must(clinic.facility.exchange(clinic.desk));
  const TakenBundle taken = must(clinic.desk.replica->import_bundle(bundle, false));
  REQUIRE(taken.refused.size() == 1);
  CHECK(taken.refused.front().error.code == ErrorCode::kRevokedDevice);
  must(clinic.facility.exchange(carrier));
  must(clinic.facility.exchange(clinic.desk));
  must(clinic.facility.exchange(carrier));
  for (Device* d : {&clinic.facility.hub(), &clinic.desk, &carrier}) {
    CAPTURE(d->name);
    CHECK_FALSE(clinic.is_in_account(*d, order));
    CHECK(state_of(*d) == state_of(clinic.desk));
  }
}

TEST_CASE("holds that come and go leave the same tables as making them anew", "[hold]") {
  Random random = test_random("holds");
  for (int round = 0; round < 12; ++round) {
    Clinic clinic;
    Shift shift(clinic.tablet, clinic.facility.keeper());
    const RecordId food = shift.food("herring");
    std::vector<RecordId> portions;
    for (std::uint32_t i = 0; i < 8; ++i) portions.push_back(shift.meal(clinic.animal, food, random.below(3) * 60, 1'000'000).second);
    for (int i = 0; i < 6; ++i) (void)shift.try_left(portions[random.below(portions.size())], random.below(1000), "weighed again");
    clinic.facility.exchange_all();
    Replica& hub = *clinic.facility.hub().replica;
    const LogId log = clinic.tablet.replica->author().log(LogClass::kBulk);
    const Seq head = clinic.tablet.replica->store().logs().find(log)->head.seq;
    std::vector<RecordId> holds;
    for (int i = 0; i < 6; ++i) {
      if (holds.empty() || random.below(2) == 0) {
        const Seq first = 1 + static_cast<Seq>(random.below(head)), last = first + static_cast<Seq>(random.below(head - first + 1));
        holds.push_back(must(hub.log_unauthored({{static_cast<std::uint32_t>(Kind::kHold), hold_fields({log, first, last}, HoldCause::kRole, "test", 1)}})).front());
      } else {
        Edit strike;
        strike.record = holds[random.below(holds.size())];
        append_varint_field(strike.fields, kStandingField, random.below(3) == 0 ? 0 : kStruck);
        strike.reason = "test";
        must(hub.author().edit({}, strike));
      }
      if (random.below(2) == 0) clinic.facility.exchange_all();
      CAPTURE(round, i);
      for (Device* device : {&clinic.facility.hub(), &clinic.tablet}) CHECK(Shift(*device, clinic.facility.keeper()).rebuild().same());
    }
    clinic.facility.exchange_all();
    Device& late = clinic.facility.add_device("late");
    clinic.facility.exchange_all();
    CHECK(state_of(late) == state_of(clinic.tablet));
    CHECK(state_of(clinic.facility.hub()) == state_of(clinic.tablet));
  }
}
