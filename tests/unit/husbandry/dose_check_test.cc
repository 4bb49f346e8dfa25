// Goal: before a dose is given, a person sees what it comes to and what is known of others. Method: orders of every
// form, doses on two devices; worked examples from outside.
#include "support/shift.h"

using namespace wrackline;

namespace {

constexpr Day kToday = 20'717;
constexpr WallMs kMidnightMs = static_cast<WallMs>(kToday) * 86'400'000;

struct Ward {
  Facility facility;
  Device& desk;
  Shift shift;
  RecordId seal;

  Ward() : desk(facility.add_device("desk")), shift((facility.exchange_all(), desk), facility.keeper()) {
    seal = shift.animal("Sila");
  }

  proto::TreatmentOrder order() {
    proto::TreatmentOrder order;
    *order.mutable_animal() = ref_of(seal);
    order.set_preparation("as the vet wrote it");
    order.set_first_day(kToday - 5);
    order.add_slots_min(480);
    order.add_slots_min(1200);
    *order.mutable_ordered_by() = ref_of(facility.keeper());
    return order;
  }

  void weigh(Day day, std::uint64_t mass_mg) {
    proto::Measure measure;
    *measure.mutable_animal() = ref_of(seal);
    measure.set_day(day);
    measure.set_quantity(proto::QUANTITY_MASS);
    measure.set_value(mass_mg);
    shift.log(Kind::kMeasure, measure);
  }

  proto::DoseCheckReply check(RecordId order, std::uint32_t slot_min, WallMs at_ms) {
    proto::Call call;
    proto::DoseCheckCall& ask = *call.mutable_dose_check();
    *ask.mutable_order() = ref_of(order);
    ask.set_due_day(kToday);
    ask.set_due_slot_min(slot_min);
    ask.set_at_ms(at_ms);
    ask.add_zone()->set_from_ms(0);
    return shift.must_call(call).dose_check();
  }
};

const proto::DoseFinding* find(const proto::DoseCheckReply& reply, proto::DoseRule rule) {
  for (const proto::DoseFinding& finding : reply.findings()) {
    if (finding.rule() == rule) return &finding;
  }
  return nullptr;
}

}  // namespace

// 2.5 mg/kg for 18 kg from 125 mg in 3 ml is 45 mg; here with 50 mg/ml, 0.9 ml. 5 mg/kg for 12.4 kg at 50 mg/ml is
// 62 mg and 1.24 ml: computed by an independent script.
TEST_CASE("a dose by body mass comes to micrograms, microlitres and what the syringe can measure", "[call]") {
  Ward ward;
  ward.weigh(kToday - 3, 12'400'000);
  proto::TreatmentOrder order = ward.order();
  order.set_dose_ug_per_kg(5'000);
  order.set_strength_ug_per_ml(50'000);
  order.set_step_ul(50);
  const proto::DoseCheckReply reply = ward.check(ward.shift.log(Kind::kTreatmentOrder, order), 480, kMidnightMs + 480 * kMinuteMs);
  CHECK(reply.exact_ug() == 62'000);
  CHECK(reply.exact_ul_thousandths() == 1'240'000);
  CHECK(reply.measured_ul() == 1'250);
  CHECK(reply.rounding_ppm() == 8065);
  CHECK(reply.reckoned_from_mg() == 12'400'000);
  CHECK(reply.body_mass_age_days() == 3);
  CHECK(reply.findings_size() == 0);
}

// 0.4 g with 200 mg capsules is 2 capsules: a nursing review set.
TEST_CASE("a dose in tablets is told in thousandths, and one that rounds to nothing is left exact", "[call]") {
  Ward ward;
  proto::TreatmentOrder order = ward.order();
  order.set_dose_ug(400'000);
  order.set_strength_ug_per_unit(200'000);
  order.set_unit_parts(1);
  const WallMs eight = kMidnightMs + 480 * kMinuteMs;
  CHECK(ward.check(ward.shift.log(Kind::kTreatmentOrder, order), 480, eight).measured_units_thousandths() == 2000);
  order.set_dose_ug(10'000);
  order.set_unit_parts(4);
  const proto::DoseCheckReply tiny = ward.check(ward.shift.log(Kind::kTreatmentOrder, order), 480, eight);
  CHECK(tiny.exact_units_thousandths() == 50);
  CHECK_FALSE(tiny.has_measured_units_thousandths());
}

TEST_CASE("without a body mass there is no dose by body mass, and an old one is asked about", "[call]") {
  Ward ward;
  proto::TreatmentOrder order = ward.order();
  order.set_dose_ug_per_kg(5'000);
  const RecordId record = ward.shift.log(Kind::kTreatmentOrder, order);
  const WallMs eight = kMidnightMs + 480 * kMinuteMs;
  const proto::DoseCheckReply none = ward.check(record, 480, eight);
  CHECK(find(none, proto::DOSE_RULE_MASS_MISSING) != nullptr);
  CHECK_FALSE(none.has_exact_ug());
  ward.weigh(kToday - 31, 10'000'000);
  const proto::DoseCheckReply old = ward.check(record, 480, eight);
  REQUIRE(find(old, proto::DOSE_RULE_MASS_OLD) != nullptr);
  CHECK(find(old, proto::DOSE_RULE_MASS_OLD)->severity() == proto::REVIEW_SEVERITY_ASK);
  CHECK(old.exact_ug() == 50'000);
  ward.weigh(kToday - 30, 10'000'000);
  CHECK(find(ward.check(record, 480, eight), proto::DOSE_RULE_MASS_OLD) == nullptr);
}

TEST_CASE("a dose logged for the slot is told with who gave it, also from another tablet", "[call]") {
  Ward ward;
  proto::TreatmentOrder order = ward.order();
  order.set_dose_ug(50'000);
  order.set_interval_min(10 * 60);
  order.set_daily_max(2);
  const RecordId record = ward.shift.log(Kind::kTreatmentOrder, order);
  ward.facility.exchange_all();
  Device& tablet = ward.facility.add_device("tablet");
  ward.facility.exchange_all();
  Shift other(tablet, ward.facility.keeper());
  *tablet.clock = kMidnightMs + 485 * kMinuteMs;
  (void)other.dose(record, 480);
  const WallMs nine = kMidnightMs + 540 * kMinuteMs;
  CHECK(ward.check(record, 480, nine).given_today() == 0);  // Not known here yet.
  ward.facility.exchange_all();
  const proto::DoseCheckReply known = ward.check(record, 480, nine);
  CHECK(known.given_today() == 1);
  const proto::DoseFinding* same = find(known, proto::DOSE_RULE_SAME_SLOT);
  REQUIRE(same != nullptr);
  CHECK(same->severity() == proto::REVIEW_SEVERITY_ASK);
  CHECK(same->happened_ms() == kMidnightMs + 485 * kMinuteMs);
  CHECK_FALSE(same->author_name().empty());
  // The evening's dose is checked at noon: four hours instead of ten, and early.
  const proto::DoseCheckReply noon = ward.check(record, 1200, kMidnightMs + 720 * kMinuteMs);
  REQUIRE(find(noon, proto::DOSE_RULE_TOO_SOON) != nullptr);
  CHECK(find(noon, proto::DOSE_RULE_TOO_SOON)->minutes() == 365);
  REQUIRE(find(noon, proto::DOSE_RULE_EARLY) != nullptr);
  CHECK(ward.check(record, 1200, kMidnightMs + 1200 * kMinuteMs).findings_size() == 0);
}

TEST_CASE("a day or slot that is not of the order, and a struck order, are asked about", "[call]") {
  Ward ward;
  proto::TreatmentOrder order = ward.order();
  order.set_dose_ul(100);
  order.set_last_day(kToday - 1);
  const RecordId record = ward.shift.log(Kind::kTreatmentOrder, order);
  CHECK(find(ward.check(record, 480, kMidnightMs + 480 * kMinuteMs), proto::DOSE_RULE_OUTSIDE_ORDER) != nullptr);
  ward.shift.strike(record, "stopped by the vet");
  CHECK(find(ward.check(record, 480, kMidnightMs + 480 * kMinuteMs), proto::DOSE_RULE_NOT_IN_ACCOUNT) != nullptr);
}

// 100 IU and 25 mg for each kilogram of fish: 300 IU and 75 mg for 3 kg; computed by an independent script.
TEST_CASE("a supplement is reckoned from the fish it is given with", "[call]") {
  Ward ward;
  const RecordId herring = ward.shift.food("herring");
  proto::DietPlan plan;
  *plan.mutable_animal() = ref_of(ward.seal);
  plan.set_first_day(kToday - 5);
  for (std::uint32_t slot : {480u, 1200u}) {
    proto::DietLine& line = *plan.add_lines();
    *line.mutable_food() = ref_of(herring);
    line.set_slot_min(slot);
    line.set_mass_mg(slot == 480 ? 3'000'000 : 1'000'000);
  }
  ward.shift.log(Kind::kDietPlan, plan);
  proto::TreatmentOrder order = ward.order();
  order.set_dose_units_per_kg_food(100);
  order.set_substance("vitamin E as d-alpha-tocopherol");
  const RecordId vitamin = ward.shift.log(Kind::kTreatmentOrder, order);
  const proto::DoseCheckReply reply = ward.check(vitamin, 480, kMidnightMs + 480 * kMinuteMs);
  CHECK(reply.reckoned_from_mg() == 3'000'000);
  CHECK(reply.exact_units_thousandths() == 300'000);
  order = ward.order();
  order.set_dose_ug_per_kg_food(25'000);
  CHECK(ward.check(ward.shift.log(Kind::kTreatmentOrder, order), 480, kMidnightMs + 480 * kMinuteMs).exact_ug() == 75'000);
}
