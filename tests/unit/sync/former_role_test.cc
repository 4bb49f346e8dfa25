// Goal: what comes in the name of somebody who had the role for it when it says it was written, and has it no more, never counts unseen: it
// is held, or it stands in what needs attention. Method: tablets whose clocks are behind, real databases, roles that go meanwhile.
#include "base/wire.h"
#include "model/hold.h"
#include "support/attention_now.h"
#include "support/shift.h"

using namespace wrackline;

namespace {

constexpr WallMs kHour = 60 * kMinuteMs;

proto::Person person_with(const std::string& name, std::vector<proto::Role> roles) {
  proto::Person person;
  person.set_name(name);
  for (proto::Role role : roles) person.add_roles(role);
  return person;
}

// A vet with a tablet out of reach, and a desk within it.
struct Clinic {
  Facility facility;
  Device& tablet = facility.add_device("north tablet");
  Device& desk = facility.add_device("desk");
  RecordId vet, officer, animal, food;

  explicit Clinic(bool is_proof_required) {
    const auto log = [&](Kind kind, const google::protobuf::MessageLite& message) {
      return must(facility.hub().replica->log_unauthored({{static_cast<std::uint32_t>(kind), message.SerializeAsString()}})).front();
    };
    proto::Facility self;
    self.set_name("Test Pier");
    self.set_time_zone("Etc/UTC");
    self.set_proof_required(is_proof_required);
    log(Kind::kFacility, self);
    vet = log(Kind::kPerson, person_with("Aske Lind", {proto::ROLE_VET}));
    officer = log(Kind::kPerson, person_with("Runa Dahl", {proto::ROLE_OFFICER}));
    proto::Animal seal;
    seal.set_name("Nereid");
    animal = log(Kind::kAnimal, seal);
    proto::Food herring;
    herring.set_name("herring");
    food = log(Kind::kFood, herring);
    facility.exchange_all();
  }
  // The tablet's clock stays where it is.
  void let_pass_elsewhere(WallMs ms) {
    *facility.hub().clock += ms;
    *desk.clock += ms;
  }
  void edit_at_hub(RecordId record, Bytes fields) {
    Edit edit;
    edit.record = record;
    edit.fields = std::move(fields);
    edit.reason = "left";
    must(facility.hub().replica->author().edit({}, std::move(edit)));
  }
  void give_vet(std::vector<proto::Role> roles) { edit_at_hub(vet, person_with("", std::move(roles)).SerializeAsString()); }
  void strike_vet() {
    Bytes struck;
    append_varint_field(struck, kStandingField, kStruck);
    edit_at_hub(vet, struck);
  }
  RecordId order() { return Shift(tablet, vet).order(animal); }
  std::optional<HoldCause> held(RecordId record) {
    Store& store = desk.replica->store();
    must(store.refresh());
    for (const Place place : must(store.records().find(0, Kind::kHold, 0, 0))) {
      const auto hold = must(store.records().load(place));
      const HeldChanges changes = held_changes(hold->fields);
      if (store.records().holds().find(place) != nullptr && changes.log == record.log && changes.first <= record.seq && record.seq <= changes.last)
        return hold_cause(hold->fields);
    }
    return std::nullopt;
  }
  // The items of the desk; the hub says the same.
  std::vector<proto::AttentionItem> told() {
    facility.exchange_all();
    const auto at_desk = attention(desk, proto::ATTENTION_RULE_FORMER_ROLE);
    CHECK(attention(facility.hub(), proto::ATTENTION_RULE_FORMER_ROLE).size() == at_desk.size());
    return at_desk;
  }
};

RecordId id(const proto::RecordRef& ref) { return {LogId{ref.log()}, ref.seq()}; }

}  // namespace

TEST_CASE("without proofs a former vet's order stamped 25 days back counts, and stands in attention",
          "[hold]") {
  Clinic clinic(false);
  const WallMs written = *clinic.tablet.clock;
  const RecordId order = clinic.order();
  clinic.let_pass_elsewhere(kHour);
  clinic.give_vet({proto::ROLE_KEEPER});
  clinic.let_pass_elsewhere(25 * 24 * kHour);
  const auto items = clinic.told();
  CHECK_FALSE(clinic.held(order));
  REQUIRE(items.size() == 1);
  CHECK(id(items[0].subject()) == clinic.vet);
  CHECK(id(items[0].record()) == order);
  CHECK(items[0].what() == "north tablet (1)");
  CHECK(items[0].since_ms() == written);
  CHECK(items[0].day() == static_cast<Day>(*clinic.facility.hub().clock / kDayMs));
  const auto trail = Shift(clinic.desk, clinic.officer).trail(order);
  REQUIRE(trail.entries_size() > 0);
  CHECK(trail.entries(0).late());
  // A week later everybody has seen it.
  clinic.let_pass_elsewhere(8 * 24 * kHour);
  CHECK(clinic.told().empty());
}

TEST_CASE("where proofs are asked for, an order stamped 25 days back is held for its own cause", "[hold]") {
  Clinic clinic(true);
  must(clinic.facility.hub().replica->note_presence(clinic.vet, clinic.tablet.keystore->public_key()));
  clinic.facility.exchange_all();
  const RecordId order = clinic.order();
  clinic.let_pass_elsewhere(kHour);
  clinic.give_vet({proto::ROLE_KEEPER});
  clinic.let_pass_elsewhere(25 * 24 * kHour);
  CHECK(clinic.told().empty());
  CHECK(clinic.held(order) == HoldCause::kUnproven);
  CHECK(Shift(clinic.desk, clinic.officer).review().items_size() == 1);
}

TEST_CASE("a proven order that comes within days of the role's end counts, and stands in attention", "[hold]") {
  Clinic clinic(true);
  must(clinic.facility.hub().replica->note_presence(clinic.vet, clinic.tablet.keystore->public_key()));
  clinic.facility.exchange_all();
  const RecordId order = clinic.order();
  clinic.let_pass_elsewhere(kHour);
  clinic.give_vet({proto::ROLE_KEEPER});
  clinic.let_pass_elsewhere(60 * kHour);
  const auto items = clinic.told();
  CHECK_FALSE(clinic.held(order));
  REQUIRE(items.size() == 1);
  CHECK(id(items[0].record()) == order);
}

TEST_CASE("care in a leaver's name is one line for each log, and goes when it is struck", "[hold]") {
  Clinic clinic(true);
  std::vector<RecordId> meals;
  for (std::uint32_t slot : {480u, 720u, 960u}) meals.push_back(Shift(clinic.tablet, clinic.vet).meal(clinic.animal, clinic.food, slot, 1000).first);
  clinic.let_pass_elsewhere(kHour);
  clinic.strike_vet();
  clinic.let_pass_elsewhere(48 * kHour);
  const auto items = clinic.told();
  REQUIRE(items.size() == 1);
  CHECK(items[0].what() == "north tablet (6)");  // Each meal with its portion.
  Store& store = clinic.desk.replica->store();
  std::vector<RecordId> all;
  for (Seq seq = 1; seq <= 6; ++seq) all.push_back({meals[0].log, seq});
  for (const RecordId record : all) {
    REQUIRE(store.logs().find_place(record) != 0);
    Shift(clinic.desk, clinic.officer).strike(record, "not theirs");
  }
  CHECK(clinic.told().empty());
}

TEST_CASE("no line tells of people who still may, may again, or wrote before the hub heard", "[hold]") {
  Clinic clinic(false);
  const RecordId first = clinic.order();
  clinic.let_pass_elsewhere(kHour);
  clinic.give_vet({proto::ROLE_VET, proto::ROLE_CURATOR});
  CHECK(clinic.told().empty());
  const RecordId second = clinic.order();
  clinic.give_vet({proto::ROLE_KEEPER});
  clinic.give_vet({proto::ROLE_VET});
  CHECK(clinic.told().empty());
  clinic.give_vet({proto::ROLE_KEEPER});
  CHECK(clinic.told().empty());  // All of theirs came before that.
  CHECK_FALSE(clinic.held(first));
  CHECK_FALSE(clinic.held(second));
}

TEST_CASE("a role that a former admin gives with a stamp from before is told of", "[hold]") {
  Clinic clinic(false);
  const RecordId admin = must(clinic.facility.hub().replica->log_unauthored(
                                  {{static_cast<std::uint32_t>(Kind::kPerson), person_with("Eva Moe", {proto::ROLE_ADMIN}).SerializeAsString()}}))
                             .front();
  clinic.facility.exchange_all();
  *clinic.tablet.clock += kMinuteMs;
  must(Shift(clinic.tablet, admin).try_edit(clinic.officer, person_with("", {proto::ROLE_ADMIN, proto::ROLE_OFFICER}), "so"));
  clinic.let_pass_elsewhere(kHour);
  clinic.edit_at_hub(admin, person_with("", {proto::ROLE_KEEPER}).SerializeAsString());
  clinic.let_pass_elsewhere(10 * 24 * kHour);
  const auto items = clinic.told();
  REQUIRE(items.size() == 1);
  CHECK(id(items[0].subject()) == admin);
  CHECK(id(items[0].record()) == clinic.officer);
}

TEST_CASE("a note of a former role that a device writes itself is told to nobody", "[hold]") {
  Clinic clinic(false);
  const RecordId order = clinic.order();
  proto::FormerRole forged;
  *forged.mutable_person() = ref_of(clinic.vet);
  *forged.mutable_device() = ref_of(must(clinic.tablet.replica->devices().find(clinic.tablet.keystore->public_key())).record);
  forged.set_of_log(order.log.value);
  forged.set_first_seq(order.seq);
  forged.set_last_seq(order.seq);
  forged.set_at_ms(*clinic.tablet.clock);
  must(clinic.tablet.replica->log_unauthored({{static_cast<std::uint32_t>(Kind::kFormerRole), forged.SerializeAsString()}}));
  CHECK(clinic.told().empty());
  CHECK(attention(clinic.tablet, proto::ATTENTION_RULE_FORMER_ROLE).empty());
}
