// Goal: nobody puts another's name to an order, an approval or a dose that was seen: it is the person's own word, or asks them for it; and
// an order by telephone is never lost nor taken for a signed one. Method: people with one role each on two tablets and a hub; a tablet
// whose core asks nobody.
#include "model/hold.h"
#include "support/shift.h"

using namespace wrackline;

namespace {

constexpr Day kToday = 20'717;
constexpr WallMs kMidnightMs = static_cast<WallMs>(kToday) * 86'400'000;

struct Ward {
  Facility facility;
  Device& tablet = facility.add_device("tablet");
  Device& desk = facility.add_device("desk");
  RecordId seal, food, vet, curator, keeper, other;

  Ward() {
    Replica& hub = *facility.hub().replica;
    const auto log = [&](Kind kind, const google::protobuf::MessageLite& message) {
      return must(hub.log_unauthored({{static_cast<std::uint32_t>(kind), message.SerializeAsString()}})).front();
    };
    const auto person = [&](const std::string& name, proto::Role role) {
      proto::Person made;
      made.set_name(name);
      made.add_roles(role);
      return log(Kind::kPerson, made);
    };
    vet = person("Aske Lind", proto::ROLE_VET);
    curator = person("Runa Dahl", proto::ROLE_CURATOR);
    keeper = person("Jo Brekke", proto::ROLE_KEEPER);
    other = person("Ida Strand", proto::ROLE_KEEPER);
    proto::Animal animal;
    animal.set_name("Nereid");
    seal = log(Kind::kAnimal, animal);
    proto::Food herring;
    herring.set_name("herring");
    food = log(Kind::kFood, herring);
    facility.exchange_all();
    for (Device* device : {&facility.hub(), &tablet, &desk}) *device->clock = std::max(*device->clock, kMidnightMs + 10 * 3'600'000);
  }
  proto::TreatmentOrder order_of(RecordId ordered_by) const {
    proto::TreatmentOrder order;
    *order.mutable_animal() = ref_of(seal);
    *order.mutable_ordered_by() = ref_of(ordered_by);
    order.set_preparation("as the vet said it");
    order.set_dose_ug(50'000);
    order.set_route("by mouth, in a fish");
    order.add_slots_min(480);
    order.add_slots_min(1200);
    order.set_first_day(kToday - 3);
    return order;
  }
  Result<RecordId> write(Device& device, RecordId by, Kind kind, const google::protobuf::MessageLite& message) {
    WRACKLINE_TRY_VALUE(ids, device.replica->author().log_records(by, {{static_cast<std::uint32_t>(kind), message.SerializeAsString(), {}, {}}}));
    return ids.front();
  }
  proto::Administration dose_of(RecordId order, std::uint32_t slot_min) const {
    proto::Administration dose;
    *dose.mutable_order() = ref_of(order);
    dose.set_due_day(kToday);
    dose.set_due_slot_min(slot_min);
    dose.set_happened_ms(kMidnightMs + slot_min * kMinuteMs);
    dose.set_utc_offset_min(0);
    dose.set_outcome(proto::OUTCOME_GIVEN);
    dose.set_given_ug(50'000);
    return dose;
  }
  bool asks(Device& device, RecordId order, proto::DoseRule rule) {
    proto::Call call;
    proto::DoseCheckCall& ask = *call.mutable_dose_check();
    *ask.mutable_order() = ref_of(order);
    ask.set_due_day(kToday);
    ask.set_due_slot_min(1200);
    ask.set_at_ms(kMidnightMs + 1200 * kMinuteMs);
    ask.add_zone()->set_from_ms(0);
    const proto::Reply reply = Shift(device, keeper).must_call(call);
    for (const proto::DoseFinding& finding : reply.dose_check().findings()) {
      if (finding.rule() == rule) return finding.severity() == proto::REVIEW_SEVERITY_ASK;
    }
    return false;
  }
  bool is_told(Device& device, proto::AttentionRule rule) {
    proto::Call call;
    call.mutable_attention()->set_day(kToday);
    call.mutable_attention()->add_zone()->set_from_ms(0);
    const proto::Reply reply = Shift(device, keeper).must_call(call);
    for (const proto::AttentionItem& item : reply.attention().items()) {
      if (item.rule() == rule) return true;
    }
    return false;
  }
  int unconfirmed(Device& device, RecordId record) { return Shift(device, keeper).view(record).unconfirmed_size(); }
};

proto::TreatmentOrder word_of(RecordId vet) {
  proto::TreatmentOrder word;
  *word.mutable_ordered_by() = ref_of(vet);
  return word;
}

}  // namespace

TEST_CASE("each dose of a telephone order asks, more sharply after the first, until the vet confirms",
          "[countersigning]") {
  Ward ward;
  const RecordId order = must(ward.write(ward.tablet, ward.keeper, Kind::kTreatmentOrder, ward.order_of(ward.vet)));
  ward.facility.exchange_all();
  for (Device* device : {&ward.tablet, &ward.desk}) {
    CHECK(ward.unconfirmed(*device, order) == 1);
    CHECK(ward.asks(*device, order, proto::DOSE_RULE_UNCONFIRMED));
    CHECK(ward.is_told(*device, proto::ATTENTION_RULE_ORDER_NOT_CONFIRMED));
  }
  must(ward.write(ward.tablet, ward.keeper, Kind::kAdministration, ward.dose_of(order, 480)));
  CHECK(ward.asks(ward.tablet, order, proto::DOSE_RULE_UNCONFIRMED_AGAIN));
  CHECK_FALSE(ward.asks(ward.tablet, order, proto::DOSE_RULE_UNCONFIRMED));
  ward.facility.exchange_all();

  must(Shift(ward.desk, ward.vet).try_edit(order, word_of(ward.vet), "as I said it"));
  ward.facility.exchange_all();
  for (Device* device : {&ward.facility.hub(), &ward.tablet, &ward.desk}) {
    CHECK(ward.unconfirmed(*device, order) == 0);
    CHECK_FALSE(ward.asks(*device, order, proto::DOSE_RULE_UNCONFIRMED));
    CHECK_FALSE(ward.asks(*device, order, proto::DOSE_RULE_UNCONFIRMED_AGAIN));
    CHECK_FALSE(ward.is_told(*device, proto::ATTENTION_RULE_ORDER_NOT_CONFIRMED));
  }
}

TEST_CASE("a vet's own order is confirmed as it is written, and one in another vet's name is not", "[countersigning]") {
  Ward ward;
  CHECK(ward.unconfirmed(ward.desk, must(ward.write(ward.desk, ward.vet, Kind::kTreatmentOrder, ward.order_of(ward.vet)))) == 0);
  CHECK(ward.unconfirmed(ward.desk, must(ward.write(ward.desk, ward.vet, Kind::kTreatmentOrder, ward.order_of(ward.curator)))) == 1);
}

TEST_CASE("nobody but a vet orders in their own name, or changes an order that was taken by telephone", "[countersigning]") {
  Ward ward;
  for (const RecordId by : {ward.keeper, ward.curator}) {
    CHECK(code_of(ward.write(ward.desk, by, Kind::kTreatmentOrder, ward.order_of(by))) == ErrorCode::kUnauthorized);
  }
  const RecordId order = must(ward.write(ward.desk, ward.keeper, Kind::kTreatmentOrder, ward.order_of(ward.vet)));
  proto::TreatmentOrder more;
  more.set_dose_ug(500'000);
  CHECK(code_of(Shift(ward.desk, ward.keeper).try_edit(order, more, "ten times")) == ErrorCode::kUnauthorized);
  CHECK(code_of(Shift(ward.desk, ward.keeper).try_edit(order, word_of(ward.keeper), "mine")) == ErrorCode::kUnauthorized);
  CHECK(code_of(Shift(ward.desk, ward.keeper).try_edit(order, word_of(ward.vet), "she said so again")) == ErrorCode::kUnauthorized);
  // The vet says that it was not so.
  Shift(ward.desk, ward.vet).strike(order, "I said five milligrams");
  ward.facility.exchange_all();
  CHECK(Shift(ward.tablet, ward.keeper).view(order).struck());
  CHECK_FALSE(ward.is_told(ward.tablet, proto::ATTENTION_RULE_ORDER_NOT_CONFIRMED));
}

TEST_CASE("an approval in another's name asks them, and the plan is unapproved until they answer",
          "[countersigning]") {
  Ward ward;
  proto::DietPlan plan;
  *plan.mutable_animal() = ref_of(ward.seal);
  plan.set_first_day(kToday - 3);
  proto::DietLine& line = *plan.add_lines();
  *line.mutable_food() = ref_of(ward.food);
  line.set_mass_mg(1'000'000);
  *plan.mutable_approved_by() = ref_of(ward.vet);
  const RecordId record = must(ward.write(ward.desk, ward.curator, Kind::kDietPlan, plan));
  CHECK(ward.unconfirmed(ward.desk, record) == 1);
  CHECK(ward.is_told(ward.desk, proto::ATTENTION_RULE_PLAN_NOT_APPROVED));
  proto::DietPlan word;
  *word.mutable_approved_by() = ref_of(ward.vet);
  must(Shift(ward.desk, ward.vet).try_edit(record, word, "approved as it stands"));
  CHECK(ward.unconfirmed(ward.desk, record) == 0);
  CHECK_FALSE(ward.is_told(ward.desk, proto::ATTENTION_RULE_PLAN_NOT_APPROVED));
  // A keeper approves nothing, in nobody's name.
  for (const RecordId named : {ward.keeper, ward.vet}) {
    *word.mutable_approved_by() = ref_of(named);
    CHECK(code_of(Shift(ward.desk, ward.keeper).try_edit(record, word, "so")) == ErrorCode::kUnauthorized);
  }
}

TEST_CASE("nobody is their own witness, and a witness who is named says so themselves", "[countersigning]") {
  Ward ward;
  const RecordId order = must(ward.write(ward.desk, ward.vet, Kind::kTreatmentOrder, ward.order_of(ward.vet)));
  ward.facility.exchange_all();
  proto::Administration dose = ward.dose_of(order, 480);
  *dose.mutable_witness() = ref_of(ward.keeper);
  const auto own = ward.write(ward.tablet, ward.keeper, Kind::kAdministration, dose);
  REQUIRE(code_of(own) == ErrorCode::kInvalid);
  CHECK(own.error().message.find("nobody is their own witness") != std::string::npos);

  *dose.mutable_witness() = ref_of(ward.other);
  const RecordId given = must(ward.write(ward.tablet, ward.keeper, Kind::kAdministration, dose));
  CHECK(ward.unconfirmed(ward.tablet, given) == 1);
  CHECK(ward.is_told(ward.tablet, proto::ATTENTION_RULE_WITNESS_NOT_CONFIRMED));
  proto::Administration word;
  *word.mutable_witness() = ref_of(ward.keeper);
  CHECK(code_of(Shift(ward.tablet, ward.keeper).try_edit(given, word, "I saw it")) == ErrorCode::kInvalid);
  *word.mutable_witness() = ref_of(ward.other);
  must(Shift(ward.tablet, ward.other).try_edit(given, word, "I saw it"));
  ward.facility.exchange_all();
  for (Device* device : {&ward.facility.hub(), &ward.tablet, &ward.desk}) {
    CHECK(ward.unconfirmed(*device, given) == 0);
    CHECK_FALSE(ward.is_told(*device, proto::ATTENTION_RULE_WITNESS_NOT_CONFIRMED));
  }
}

TEST_CASE("a dose that somebody corrects later asks the witness once more", "[countersigning]") {
  Ward ward;
  const RecordId order = must(ward.write(ward.desk, ward.vet, Kind::kTreatmentOrder, ward.order_of(ward.vet)));
  ward.facility.exchange_all();
  proto::Administration dose = ward.dose_of(order, 480);
  *dose.mutable_witness() = ref_of(ward.other);
  const RecordId given = must(ward.write(ward.tablet, ward.keeper, Kind::kAdministration, dose));
  proto::Administration word;
  *word.mutable_witness() = ref_of(ward.other);
  must(Shift(ward.tablet, ward.other).try_edit(given, word, "I saw it"));
  REQUIRE(ward.unconfirmed(ward.tablet, given) == 0);
  proto::Administration more;
  more.set_given_ug(500'000);
  must(Shift(ward.tablet, ward.keeper).try_edit(given, more, "it was ten times as much"));
  CHECK(ward.unconfirmed(ward.tablet, given) == 1);
  must(Shift(ward.tablet, ward.other).try_edit(given, word, "so it was"));
  CHECK(ward.unconfirmed(ward.tablet, given) == 0);
}

TEST_CASE("the facility says how often an order by telephone may be given before it is confirmed", "[countersigning]") {
  for (const std::uint32_t times : {0u, 2u}) {
    CAPTURE(times);
    Ward ward;
    proto::Facility rule;
    rule.set_name("Test Pier");
    rule.set_time_zone("Etc/UTC");
    rule.set_phone_order_doses(times);
    must(ward.facility.hub().replica->log_unauthored({{static_cast<std::uint32_t>(Kind::kFacility), rule.SerializeAsString()}}));
    ward.facility.exchange_all();
    const RecordId order = must(ward.write(ward.tablet, ward.keeper, Kind::kTreatmentOrder, ward.order_of(ward.vet)));
    CHECK(ward.asks(ward.tablet, order, times == 0 ? proto::DOSE_RULE_UNCONFIRMED_AGAIN : proto::DOSE_RULE_UNCONFIRMED));
    must(ward.write(ward.tablet, ward.keeper, Kind::kAdministration, ward.dose_of(order, 480)));
    CHECK(ward.asks(ward.tablet, order, times == 0 ? proto::DOSE_RULE_UNCONFIRMED_AGAIN : proto::DOSE_RULE_UNCONFIRMED));
  }
}
