// The rules of measurements, observations, treatment orders and administrations.
#include <bitset>

#include "dosing/risky_notation.h"
#include "model/read_message.h"
#include "records.pb.h"

namespace wrackline {

using namespace proto;  // This file speaks of nothing else.

void validate_measure(ByteView fields, Problems& problems) {
  Measure measure;
  if (!read_to_judge(fields, measure, problems)) return;
  expect(problems, is_usable(measure.animal()), Measure::kAnimalFieldNumber, ProblemCode::kMeasurementNamesNoAnimal);
  expect_day(problems, measure);
  expect(problems, measure.quantity() != QUANTITY_UNSPECIFIED, Measure::kQuantityFieldNumber, ProblemCode::kQuantityIsMissing);
  expect(problems, measure.value() > 0, Measure::kValueFieldNumber, ProblemCode::kMeasuredValueIsMissingOr0);
  switch (measure.quantity()) {
    case QUANTITY_MASS:
      expect(problems, measure.value() <= kBodyMgMax, Measure::kValueFieldNumber, ProblemCode::kBodyMassOver1000T);
      break;
    case QUANTITY_LENGTH_STRAIGHT:
    case QUANTITY_LENGTH_CURVED:
    case QUANTITY_GIRTH:
      expect(problems, measure.value() <= kLengthUmMax, Measure::kValueFieldNumber, ProblemCode::kLengthOver100M);
      break;
    default:
      break;  // A score, a temperature, or a quantity of a newer release.
  }
}

void validate_observation(ByteView fields, Problems& problems) {
  Observation observation;
  if (!read_to_judge(fields, observation, problems)) return;
  expect(problems, is_usable(observation.animal()), Observation::kAnimalFieldNumber, ProblemCode::kObservationNamesNoAnimal);
  expect_day(problems, observation);
  expect(problems, has_text(observation.code()) || has_text(observation.text()), Observation::kCodeFieldNumber, ProblemCode::kObservationSaysNothing);
}

namespace {

// Notation that is known to be misread is refused where it is written: once it stands in an order, somebody reads it at the pool.
void expect_plain_notation(Problems& problems, std::uint32_t field, const char* part, std::string_view text) {
  for (const RiskyNotation& found : find_risky_notation(text)) {
    problems.push_back({ProblemCode::kNotationIsMisread, field, {std::string(text.substr(found.begin, found.size)), found.advice, part}});
  }
}

}  // namespace

void validate_treatment_order(ByteView fields, Problems& problems) {
  TreatmentOrder order;
  if (!read_to_judge(fields, order, problems)) return;
  expect(problems, is_usable(order.animal()), TreatmentOrder::kAnimalFieldNumber, ProblemCode::kOrderNamesNoAnimal);
  expect_plain_notation(problems, TreatmentOrder::kPreparationFieldNumber, "preparation", order.preparation());
  expect_plain_notation(problems, TreatmentOrder::kRouteFieldNumber, "route", order.route());
  expect_plain_notation(problems, TreatmentOrder::kSubstanceFieldNumber, "substance", order.substance());
  expect_plain_notation(problems, TreatmentOrder::kVehicleFieldNumber, "vehicle", order.vehicle());
  expect_plain_notation(problems, TreatmentOrder::kInstructionsFieldNumber, "instructions", order.instructions());
  expect(problems, has_text(order.preparation()), TreatmentOrder::kPreparationFieldNumber, ProblemCode::kOrderNamesNoPreparation);
  expect(problems, is_usable(order.ordered_by()), TreatmentOrder::kOrderedByFieldNumber, ProblemCode::kOrderNamesNoVet);
  expect(problems, order.has_dose_ug() + order.has_dose_ul() + order.has_dose_units() + order.has_dose_ug_per_kg() + order.has_dose_ug_per_kg_food() + order.has_dose_units_per_kg_food() == 1, TreatmentOrder::kDoseUgFieldNumber, ProblemCode::kDoseNotGivenInOneWay);
  expect(problems, (!order.has_dose_ug() || order.dose_ug() > 0) && (!order.has_dose_ul() || order.dose_ul() > 0) && (!order.has_dose_units() || order.dose_units() > 0) && (!order.has_dose_ug_per_kg() || order.dose_ug_per_kg() > 0) && (!order.has_dose_ug_per_kg_food() || order.dose_ug_per_kg_food() > 0) && (!order.has_dose_units_per_kg_food() || order.dose_units_per_kg_food() > 0), TreatmentOrder::kDoseUgFieldNumber, ProblemCode::kDoseIs0);
  expect(problems, order.dose_ug_per_kg() <= kDoseUgMax && order.dose_ug_per_kg_food() <= kDoseUgMax && order.dose_units_per_kg_food() <= kDoseUnitsMax, TreatmentOrder::kDoseUgPerKgFieldNumber, ProblemCode::kDosePerKilogramNotPlausible);
  expect(problems, !order.has_dose_units_per_kg_food() || has_text(order.substance()), TreatmentOrder::kDoseUnitsPerKgFoodFieldNumber, ProblemCode::kUnitsNeedTheirSubstance);
  expect(problems, !(order.has_strength_ug_per_ml() && order.has_strength_ug_per_unit()), TreatmentOrder::kStrengthUgPerMlFieldNumber, ProblemCode::kStrengthGivenInTwoWays);
  expect(problems, (!order.has_strength_ug_per_ml() || order.strength_ug_per_ml() > 0) && (!order.has_strength_ug_per_unit() || order.strength_ug_per_unit() > 0), TreatmentOrder::kStrengthUgPerMlFieldNumber, ProblemCode::kStrengthIs0);
  expect(problems, !order.has_step_ul() || order.step_ul() > 0, TreatmentOrder::kStepUlFieldNumber, ProblemCode::kSyringeStepIs0);
  expect(problems, !order.has_unit_parts() || order.unit_parts() == 1 || order.unit_parts() == 2 || order.unit_parts() == 4, TreatmentOrder::kUnitPartsFieldNumber, ProblemCode::kTabletPartsNot124);
  expect(problems, !order.has_mass_age_max_days() || order.mass_age_max_days() <= kDaysMax, TreatmentOrder::kMassAgeMaxDaysFieldNumber, ProblemCode::kBodyMassAgeNotPlausible);
  expect(problems, !order.has_every_min() || (order.every_min() >= 1 && order.every_min() <= kIntervalMinMax), TreatmentOrder::kEveryMinFieldNumber, ProblemCode::kDoseIntervalNotPlausible);
  expect(problems, !order.has_every_min() || order.slots_min_size() == 0, TreatmentOrder::kEveryMinFieldNumber, ProblemCode::kOrderByClockAndByElapsedHours);
  expect(problems, order.dose_ug() <= kDoseUgMax && order.dose_ul() <= kDoseUlMax && order.dose_units() <= kDoseUnitsMax, TreatmentOrder::kDoseUgFieldNumber, ProblemCode::kDoseNotPlausible);
  bool slots_within_day = true, slots_differ = true;
  std::bitset<kMinutesPerDay> slots_seen;
  for (std::uint32_t slot : order.slots_min()) {
    if (slot >= kMinutesPerDay) {
      slots_within_day = false;
      continue;
    }
    slots_differ = slots_differ && !slots_seen[slot];
    slots_seen.set(slot);
  }
  expect(problems, slots_within_day, TreatmentOrder::kSlotsMinFieldNumber, ProblemCode::kOrderSlotNotWithinDay);
  expect(problems, slots_differ, TreatmentOrder::kSlotsMinFieldNumber, ProblemCode::kSlotNamedTwice);
  expect(problems, order.has_first_day(), TreatmentOrder::kFirstDayFieldNumber, ProblemCode::kFirstDayOfOrderIsMissing);
  expect(problems, is_plausible_day(order.first_day()) && is_plausible_day(order.last_day()), TreatmentOrder::kFirstDayFieldNumber, ProblemCode::kDayOfOrderNotPlausible);
  expect(problems, !order.has_last_day() || order.last_day() >= order.first_day(), TreatmentOrder::kLastDayFieldNumber, ProblemCode::kLastDayBeforeFirst);
  expect(problems, !order.has_interval_min() || (order.interval_min() >= 1 && order.interval_min() <= kIntervalMinMax), TreatmentOrder::kIntervalMinFieldNumber, ProblemCode::kLeastTimeBetweenDosesNotPlausible);
  expect(problems, !order.has_daily_max() || order.daily_max() >= 1, TreatmentOrder::kDailyMaxFieldNumber, ProblemCode::kMostDosesInADayIs0);
  expect(problems, !order.has_daily_max() || static_cast<std::uint32_t>(order.slots_min_size()) <= order.daily_max(), TreatmentOrder::kDailyMaxFieldNumber, ProblemCode::kMoreSlotsThanDosesAllowed);
}

void validate_administration(ByteView fields, Problems& problems) {
  Administration dose;
  if (!read_to_judge(fields, dose, problems)) return;
  expect(problems, is_usable(dose.order()), Administration::kOrderFieldNumber, ProblemCode::kDoseNamesNoOrder);
  // Day and slot tell one dose from another, and so a dose given twice from two doses: neither may be left
  // out.
  expect(problems, dose.has_due_day(), Administration::kDueDayFieldNumber, ProblemCode::kDueDayIsMissing);
  expect(problems, is_plausible_day(dose.due_day()), Administration::kDueDayFieldNumber, ProblemCode::kDueDayNotPlausible);
  expect(problems, dose.has_due_slot_min(), Administration::kDueSlotMinFieldNumber, ProblemCode::kDueTimeIsMissing);
  expect(problems, dose.due_slot_min() < kMinutesPerDay, Administration::kDueSlotMinFieldNumber, ProblemCode::kDueTimeNotWithinDay);
  // The instant is not held against the due day: a dose may be given after midnight, or late.
  expect_instant(problems, dose);
  expect(problems, dose.outcome() != OUTCOME_UNSPECIFIED, Administration::kOutcomeFieldNumber, ProblemCode::kOutcomeIsMissing);
  expect(problems, !dose.has_witness() || is_usable(dose.witness()), Administration::kWitnessFieldNumber, ProblemCode::kWitnessIsNoRecord);
  expect(problems, !dose.has_prepared_by() || is_usable(dose.prepared_by()), Administration::kPreparedByFieldNumber, ProblemCode::kPreparerIsNoRecord);

  const int amounts = dose.has_given_ug() + dose.has_given_ul() + dose.has_given_units();
  expect(problems, amounts <= 1, Administration::kGivenUgFieldNumber, ProblemCode::kAmountGivenInTwoUnits);
  const bool nothing_given =
      dose.outcome() == OUTCOME_REFUSED || dose.outcome() == OUTCOME_HELD || dose.outcome() == OUTCOME_LOST;
  expect(problems, !nothing_given || amounts == 0, Administration::kOutcomeFieldNumber, ProblemCode::kAmountWithoutADoseGiven);
  // "Nothing" has names of its own; a given 0 would hide which of them it was.
  expect(problems, nothing_given || ((!dose.has_given_ug() || dose.given_ug() > 0) && (!dose.has_given_ul() || dose.given_ul() > 0) && (!dose.has_given_units() || dose.given_units() > 0)), Administration::kGivenUgFieldNumber, ProblemCode::kAmountGivenIs0);
  expect(problems, dose.given_ug() <= kDoseUgMax && dose.given_ul() <= kDoseUlMax && dose.given_units() <= kDoseUnitsMax, Administration::kGivenUgFieldNumber, ProblemCode::kAmountGivenNotPlausible);
}

}  // namespace wrackline
