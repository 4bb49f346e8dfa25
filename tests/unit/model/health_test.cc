// The rules of measurement, observation, treatment order and administration (model/rules_health.cc).
#include <catch2/catch.hpp>

#include "records.pb.h"
#include "support/rule_slips.h"

using namespace wrackline;

namespace {

proto::Measure sound_measure() {
  proto::Measure measure;
  set_ref(measure.mutable_animal(), 1, 2);
  measure.set_day(20000);
  measure.set_quantity(proto::QUANTITY_MASS);
  measure.set_value(12'000'000);
  return measure;
}

proto::Observation sound_observation() {
  proto::Observation observation;
  set_ref(observation.mutable_animal(), 1, 2);
  observation.set_day(20000);
  observation.set_text("floats with the left side up");
  return observation;
}

proto::TreatmentOrder sound_order() {
  proto::TreatmentOrder order;
  set_ref(order.mutable_animal(), 1, 2);
  order.set_preparation("as the vet wrote it");
  order.set_dose_ug(120'000);
  order.set_route("in food");
  order.add_slots_min(480);
  order.add_slots_min(1200);
  order.set_first_day(20000);
  order.set_last_day(20006);
  order.set_daily_max(2);
  order.set_interval_min(600);
  set_ref(order.mutable_ordered_by(), 1, 1);
  return order;
}

proto::Administration sound_dose() {
  proto::Administration dose;
  set_ref(dose.mutable_order(), 1, 5);
  dose.set_due_day(20000);
  dose.set_due_slot_min(480);
  dose.set_outcome(proto::OUTCOME_GIVEN);
  return dose;
}

}  // namespace

TEST_CASE("a sound measurement, observation, order and dose have no problem", "[model]") {
  CHECK(judge(Kind::kMeasure, sound_measure()).empty());
  CHECK(judge(Kind::kObservation, sound_observation()).empty());
  CHECK(judge(Kind::kTreatmentOrder, sound_order()).empty());
  CHECK(judge(Kind::kAdministration, sound_dose()).empty());
}

TEST_CASE("a measurement names animal, day, quantity and value", "[model]") {
  proto::Measure measure = sound_measure();
  measure.clear_animal();
  CHECK(only_problem(Kind::kMeasure, measure, "no animal"));
  measure = sound_measure();
  measure.clear_day();
  CHECK(only_problem(Kind::kMeasure, measure, "day is missing"));
  measure = sound_measure();
  measure.clear_quantity();
  CHECK(only_problem(Kind::kMeasure, measure, "quantity"));
  measure = sound_measure();
  measure.clear_value();
  CHECK(only_problem(Kind::kMeasure, measure, "value is missing"));
  measure.set_value(0);
  CHECK(only_problem(Kind::kMeasure, measure, "or 0"));
}

TEST_CASE("a body weighs at most 1000 t and measures at most 100 m", "[model]") {
  proto::Measure measure = sound_measure();
  measure.set_value(1'000'000'000'000);
  CHECK(judge(Kind::kMeasure, measure).empty());
  measure.set_value(1'000'000'000'001);
  CHECK(only_problem(Kind::kMeasure, measure, "1000 t"));
  for (proto::Quantity length :
       {proto::QUANTITY_LENGTH_STRAIGHT, proto::QUANTITY_LENGTH_CURVED, proto::QUANTITY_GIRTH}) {
    measure.set_quantity(length);
    measure.set_value(100'000'000);
    CHECK(judge(Kind::kMeasure, measure).empty());
    measure.set_value(100'000'001);
    CHECK(only_problem(Kind::kMeasure, measure, "100 m"));
  }
}

TEST_CASE("a quantity of a newer release is taken without bounds", "[model]") {
  proto::Measure measure = sound_measure();
  measure.set_quantity(static_cast<proto::Quantity>(99));
  measure.set_value(0xffffffffffffffff);
  CHECK(judge(Kind::kMeasure, measure).empty());
}

TEST_CASE("an observation names its animal and says something", "[model]") {
  proto::Observation observation = sound_observation();
  observation.clear_animal();
  CHECK(only_problem(Kind::kObservation, observation, "no animal"));
  observation = sound_observation();
  observation.set_text(" ");
  CHECK(only_problem(Kind::kObservation, observation, "says nothing"));
  observation.set_code("B12");
  CHECK(judge(Kind::kObservation, observation).empty());
}

TEST_CASE("an observation's day is the local day of its time", "[model]") {
  proto::Observation observation = sound_observation();
  observation.set_happened_ms(20001ull * 86'400'000);
  observation.set_utc_offset_min(-1);
  CHECK(judge(Kind::kObservation, observation).empty());
  observation.set_utc_offset_min(0);
  CHECK(only_problem(Kind::kObservation, observation, "not the local day"));
}

TEST_CASE("an order names animal, preparation and vet", "[model]") {
  proto::TreatmentOrder order = sound_order();
  order.clear_animal();
  CHECK(only_problem(Kind::kTreatmentOrder, order, "no animal"));
  order = sound_order();
  order.set_preparation("");
  CHECK(only_problem(Kind::kTreatmentOrder, order, "no preparation"));
  order = sound_order();
  order.clear_ordered_by();
  CHECK(only_problem(Kind::kTreatmentOrder, order, "no vet"));
}

// Joint Commission, official "Do Not Use" list: QD, U, IU, a trailing zero, no leading zero.
TEST_CASE("an order with notation easily misread is refused with what to write, in any field", "[model]") {
  proto::TreatmentOrder order = sound_order();
  order.set_preparation("Tablet 1.0 mg");
  CHECK(only_problem(Kind::kTreatmentOrder, order, "\"1.0\" in the preparation of the order is easily misread: leave out the zero at the end"));
  order = sound_order();
  order.set_instructions("QD, with the first fish");
  CHECK(only_problem(Kind::kTreatmentOrder, order, "\"QD\" in the instructions of the order is easily misread: write \"once a day\""));
  order = sound_order();
  order.set_route("SC");
  CHECK(only_problem(Kind::kTreatmentOrder, order, "under the skin"));
  order = sound_order();
  order.set_vehicle(".5 kg herring");
  CHECK(only_problem(Kind::kTreatmentOrder, order, "write a zero before the point"));
  order = sound_order();
  order.set_substance("IU vitamin E");
  CHECK(only_problem(Kind::kTreatmentOrder, order, "write \"units\""));
  order.set_substance("international units of vitamin E");
  order.set_preparation("Tablet 250 mg, 0.5 mg/mL");
  order.set_instructions("once a day, 10 units");
  CHECK(judge(Kind::kTreatmentOrder, order).empty());
}

TEST_CASE("an order's dose is given in exactly one way", "[model]") {
  for (int units = 0; units < 8; ++units) {
    CAPTURE(units);
    proto::TreatmentOrder order = sound_order();
    order.clear_dose_ug();
    if (units & 1) order.set_dose_ug(1);
    if (units & 2) order.set_dose_ul(1);
    if (units & 4) order.set_dose_units(1);
    const bool one = units == 1 || units == 2 || units == 4;
    CHECK(judge(Kind::kTreatmentOrder, order).empty() == one);
    if (!one) CHECK(only_problem(Kind::kTreatmentOrder, order, "exactly one way"));
  }
}

TEST_CASE("an order's dose is neither nothing nor out of all bounds", "[model]") {
  proto::TreatmentOrder order = sound_order();
  order.set_dose_ug(0);
  CHECK(only_problem(Kind::kTreatmentOrder, order, "dose is 0"));
  order.set_dose_ug(10'000'000'000);
  CHECK(judge(Kind::kTreatmentOrder, order).empty());
  order.set_dose_ug(10'000'000'001);
  CHECK(only_problem(Kind::kTreatmentOrder, order, "not plausible"));
  order.clear_dose_ug();
  order.set_dose_ul(1'000'000'001);
  CHECK(only_problem(Kind::kTreatmentOrder, order, "not plausible"));
  order.clear_dose_ul();
  order.set_dose_units(1'000'000'000'001);
  CHECK(only_problem(Kind::kTreatmentOrder, order, "not plausible"));
}

TEST_CASE("an order's slots lie within the day, each once", "[model]") {
  proto::TreatmentOrder order = sound_order();
  order.set_slots_min(1, 1440);
  CHECK(only_problem(Kind::kTreatmentOrder, order, "not within the day"));
  order.set_slots_min(1, 480);
  CHECK(only_problem(Kind::kTreatmentOrder, order, "twice"));
  order.clear_slots_min();  // The order goes by elapsed hours, or as needed.
  CHECK(judge(Kind::kTreatmentOrder, order).empty());
}

TEST_CASE("an order holds from a day on and ends no earlier", "[model]") {
  proto::TreatmentOrder order = sound_order();
  order.set_last_day(20000);
  CHECK(judge(Kind::kTreatmentOrder, order).empty());
  order.set_last_day(19999);
  CHECK(only_problem(Kind::kTreatmentOrder, order, "before the first"));
  order.clear_last_day();
  CHECK(judge(Kind::kTreatmentOrder, order).empty());
  order.clear_first_day();
  CHECK(only_problem(Kind::kTreatmentOrder, order, "first day is missing"));
}

TEST_CASE("an order's limits allow what it orders", "[model]") {
  proto::TreatmentOrder order = sound_order();
  order.set_daily_max(1);
  CHECK(only_problem(Kind::kTreatmentOrder, order, "more slots than doses"));
  order.clear_slots_min();
  CHECK(judge(Kind::kTreatmentOrder, order).empty());
  order.set_daily_max(0);
  CHECK(only_problem(Kind::kTreatmentOrder, order, "most doses in a day is 0"));
  order = sound_order();
  order.set_interval_min(0);
  CHECK(only_problem(Kind::kTreatmentOrder, order, "least time"));
  order.set_interval_min(366 * 24 * 60 + 1);
  CHECK(only_problem(Kind::kTreatmentOrder, order, "least time"));
}

TEST_CASE("a dose names order, due day, due time and outcome", "[model]") {
  proto::Administration dose = sound_dose();
  dose.clear_order();
  CHECK(only_problem(Kind::kAdministration, dose, "no order"));
  dose = sound_dose();
  dose.clear_due_day();
  CHECK(only_problem(Kind::kAdministration, dose, "due day is missing"));
  dose = sound_dose();
  dose.clear_due_slot_min();
  CHECK(only_problem(Kind::kAdministration, dose, "due time is missing"));
  dose.set_due_slot_min(1440);
  CHECK(only_problem(Kind::kAdministration, dose, "not within the day"));
  dose = sound_dose();
  dose.clear_outcome();
  CHECK(only_problem(Kind::kAdministration, dose, "what became of the dose"));
  dose.set_outcome(proto::OUTCOME_UNSPECIFIED);
  CHECK(only_problem(Kind::kAdministration, dose, "what became of the dose"));
}

TEST_CASE("a dose may be given on another day than it was due", "[model]") {
  proto::Administration dose = sound_dose();
  dose.set_happened_ms(20001ull * 86'400'000 + 1'800'000);
  dose.set_utc_offset_min(0);
  CHECK(judge(Kind::kAdministration, dose).empty());
}

TEST_CASE("a dose that was refused, held or lost has no amount", "[model]") {
  for (proto::Outcome outcome : {proto::OUTCOME_REFUSED, proto::OUTCOME_HELD, proto::OUTCOME_LOST}) {
    proto::Administration dose = sound_dose();
    dose.set_outcome(outcome);
    CHECK(judge(Kind::kAdministration, dose).empty());
    dose.set_given_ul(5);
    CHECK(only_problem(Kind::kAdministration, dose, "refused, held or lost"));
    dose.set_given_ul(0);  // Not even none: what was refused is not what was given as nothing.
    CHECK(only_problem(Kind::kAdministration, dose, "refused, held or lost"));
  }
}

TEST_CASE("a dose that was given, in part or unknown, may have an amount in one unit, above 0", "[model]") {
  for (proto::Outcome outcome : {proto::OUTCOME_GIVEN, proto::OUTCOME_PART, proto::OUTCOME_UNKNOWN}) {
    proto::Administration dose = sound_dose();
    dose.set_outcome(outcome);
    CHECK(judge(Kind::kAdministration, dose).empty());
    dose.set_given_ug(60'000);
    CHECK(judge(Kind::kAdministration, dose).empty());
    dose.set_given_units(1);
    CHECK(only_problem(Kind::kAdministration, dose, "more than one unit"));
    dose.clear_given_units();
    dose.set_given_ug(0);
    CHECK(only_problem(Kind::kAdministration, dose, "amount given is 0"));
    dose.set_given_ug(10'000'000'001);
    CHECK(only_problem(Kind::kAdministration, dose, "not plausible"));
  }
}

TEST_CASE("a witness, when given, is a record", "[model]") {
  proto::Administration dose = sound_dose();
  set_ref(dose.mutable_witness(), 1, 1);
  CHECK(judge(Kind::kAdministration, dose).empty());
  set_ref(dose.mutable_witness(), 0, 1);
  CHECK(only_problem(Kind::kAdministration, dose, "witness"));
}
