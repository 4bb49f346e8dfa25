// The rules of measurements, observations, treatment orders and administrations.
#include <bitset>

#include "dosing/risky_notation.h"
#include "model/read_message.h"
#include "records.pb.h"

namespace wrackline {

using namespace proto;  // This file speaks of nothing else.

void validate_measure(ByteView fields, std::vector<std::string>& problems) {
  Measure measure;
  if (!read_to_judge(fields, measure, problems)) return;
  expect(problems, is_usable(measure.animal()), "the measurement names no animal: say who was measured");
  expect_day(problems, measure);
  expect(problems, measure.quantity() != QUANTITY_UNSPECIFIED,
         "it is not said what was measured: choose a quantity");
  expect(problems, measure.value() > 0,
         "the value is missing or 0: enter what was read, or no measurement when there was none");
  switch (measure.quantity()) {
    case QUANTITY_MASS:
      expect(problems, measure.value() <= kBodyMgMax, "the mass is more than 1000 t: check the unit");
      break;
    case QUANTITY_LENGTH_STRAIGHT:
    case QUANTITY_LENGTH_CURVED:
    case QUANTITY_GIRTH:
      expect(problems, measure.value() <= kLengthUmMax, "the length is more than 100 m: check the unit");
      break;
    default:
      break;  // A score, a temperature, or a quantity of a newer release.
  }
}

void validate_observation(ByteView fields, std::vector<std::string>& problems) {
  Observation observation;
  if (!read_to_judge(fields, observation, problems)) return;
  expect(problems, is_usable(observation.animal()), "the observation names no animal: say who was seen");
  expect_day(problems, observation);
  expect(problems, has_text(observation.code()) || has_text(observation.text()),
         "the observation says nothing: choose a code or write what was seen");
}

namespace {

// Notation that is known to be misread is refused where it is written: once it stands in an order, somebody reads it at the pool.
void expect_plain_notation(std::vector<std::string>& problems, const char* part, std::string_view text) {
  for (const RiskyNotation& found : find_risky_notation(text)) {
    problems.push_back("\"" + std::string(text.substr(found.begin, found.size)) + "\" in the " + part + " of the order is easily misread: " + found.advice);
  }
}

}  // namespace

void validate_treatment_order(ByteView fields, std::vector<std::string>& problems) {
  TreatmentOrder order;
  if (!read_to_judge(fields, order, problems)) return;
  expect(problems, is_usable(order.animal()), "the order names no animal: say who is to be treated");
  expect_plain_notation(problems, "preparation", order.preparation());
  expect_plain_notation(problems, "route", order.route());
  expect_plain_notation(problems, "substance", order.substance());
  expect_plain_notation(problems, "vehicle", order.vehicle());
  expect_plain_notation(problems, "instructions", order.instructions());
  expect(problems, has_text(order.preparation()),
         "the order names no preparation: write what is given, with its strength");
  expect(problems, is_usable(order.ordered_by()), "the order names no vet: say who ordered it");
  expect(problems,
         order.has_dose_ug() + order.has_dose_ul() + order.has_dose_units() + order.has_dose_ug_per_kg() +
                 order.has_dose_ug_per_kg_food() + order.has_dose_units_per_kg_food() ==
             1,
         "the dose must be given in exactly one way: fixed as mass, volume or units, or per kilogram of body mass or "
         "of food");
  expect(problems,
         (!order.has_dose_ug() || order.dose_ug() > 0) && (!order.has_dose_ul() || order.dose_ul() > 0) &&
             (!order.has_dose_units() || order.dose_units() > 0) &&
             (!order.has_dose_ug_per_kg() || order.dose_ug_per_kg() > 0) &&
             (!order.has_dose_ug_per_kg_food() || order.dose_ug_per_kg_food() > 0) &&
             (!order.has_dose_units_per_kg_food() || order.dose_units_per_kg_food() > 0),
         "the dose is 0: enter the dose the vet ordered");
  expect(problems, order.dose_ug_per_kg() <= kDoseUgMax && order.dose_ug_per_kg_food() <= kDoseUgMax &&
                       order.dose_units_per_kg_food() <= kDoseUnitsMax,
         "the dose per kilogram is not plausible: check the unit with the vet");
  expect(problems, !order.has_dose_units_per_kg_food() || has_text(order.substance()),
         "units per kilogram of food need their substance: write what the units are of");
  expect(problems, !(order.has_strength_ug_per_ml() && order.has_strength_ug_per_unit()),
         "the strength is given in two ways: keep the one of the preparation that is used");
  expect(problems,
         (!order.has_strength_ug_per_ml() || order.strength_ug_per_ml() > 0) &&
             (!order.has_strength_ug_per_unit() || order.strength_ug_per_unit() > 0),
         "the strength is 0: copy it from the label");
  expect(problems, !order.has_step_ul() || order.step_ul() > 0, "the step of the syringe is 0: give what can be read on it");
  expect(problems, !order.has_unit_parts() || order.unit_parts() == 1 || order.unit_parts() == 2 || order.unit_parts() == 4,
         "a tablet is given whole, or parted into 2 or 4: give what the form allows");
  expect(problems, !order.has_mass_age_max_days() || order.mass_age_max_days() <= kDaysMax,
         "the age of the body mass is not plausible: give days");
  expect(problems, !order.has_every_min() || (order.every_min() >= 1 && order.every_min() <= kIntervalMinMax),
         "the time between doses is not plausible: give minutes, at most a year");
  expect(problems, !order.has_every_min() || order.slots_min_size() == 0,
         "the order goes by the clock and by elapsed hours: keep one of the two");
  expect(
      problems,
      order.dose_ug() <= kDoseUgMax && order.dose_ul() <= kDoseUlMax && order.dose_units() <= kDoseUnitsMax,
      "the dose is not plausible: check the unit with the vet");
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
  expect(problems, slots_within_day, "a slot is not within the day: give minutes after midnight, 0 to 1439");
  expect(problems, slots_differ, "a slot of the day is named twice: leave one out");
  expect(problems, order.has_first_day(), "the first day is missing: say from which day on the order holds");
  expect(problems, is_plausible_day(order.first_day()) && is_plausible_day(order.last_day()),
         "a day of the order is not plausible: check the dates");
  expect(problems, !order.has_last_day() || order.last_day() >= order.first_day(),
         "the last day is before the first: correct one of the two");
  expect(problems,
         !order.has_interval_min() || (order.interval_min() >= 1 && order.interval_min() <= kIntervalMinMax),
         "the least time between doses is not plausible: give minutes, at most a year, or leave it out");
  expect(problems, !order.has_daily_max() || order.daily_max() >= 1,
         "the most doses in a day is 0: give at least 1, or strike the order");
  expect(problems,
         !order.has_daily_max() || static_cast<std::uint32_t>(order.slots_min_size()) <= order.daily_max(),
         "the order has more slots than doses allowed in a day: correct one of the two");
}

void validate_administration(ByteView fields, std::vector<std::string>& problems) {
  Administration dose;
  if (!read_to_judge(fields, dose, problems)) return;
  expect(problems, is_usable(dose.order()), "the dose names no order: say which order it belongs to");
  // Day and slot tell one dose from another, and so a dose given twice from two doses: neither may be left
  // out.
  expect(problems, dose.has_due_day(), "the due day is missing: say on which day the dose was due");
  expect(problems, is_plausible_day(dose.due_day()), "the due day is not plausible: check the date");
  expect(problems, dose.has_due_slot_min(),
         "the due time is missing: say which dose of the day it was; for one without a fixed time, when it "
         "was given");
  expect(problems, dose.due_slot_min() < kMinutesPerDay,
         "the due time is not within the day: give minutes after midnight, 0 to 1439");
  // The instant is not held against the due day: a dose may be given after midnight, or late.
  expect_instant(problems, dose);
  expect(problems, dose.outcome() != OUTCOME_UNSPECIFIED,
         "it is not said what became of the dose: given, part, refused, held, lost or unknown");
  expect(problems, !dose.has_witness() || is_usable(dose.witness()),
         "the witness is not a record: choose the person again");
  expect(problems, !dose.has_prepared_by() || is_usable(dose.prepared_by()),
         "the one who prepared the dose is not a record: choose the person again");

  const int amounts = dose.has_given_ug() + dose.has_given_ul() + dose.has_given_units();
  expect(problems, amounts <= 1, "the amount given is entered in more than one unit: keep the order's unit");
  const bool nothing_given =
      dose.outcome() == OUTCOME_REFUSED || dose.outcome() == OUTCOME_HELD || dose.outcome() == OUTCOME_LOST;
  expect(problems, !nothing_given || amounts == 0,
         "an amount is entered for a dose that was refused, held or lost: leave it out, or choose given or "
         "part");
  // "Nothing" has names of its own; a given 0 would hide which of them it was.
  expect(problems,
         nothing_given || ((!dose.has_given_ug() || dose.given_ug() > 0) &&
                           (!dose.has_given_ul() || dose.given_ul() > 0) &&
                           (!dose.has_given_units() || dose.given_units() > 0)),
         "the amount given is 0: choose refused, held or lost, or leave the amount out when it is not known");
  expect(
      problems,
      dose.given_ug() <= kDoseUgMax && dose.given_ul() <= kDoseUlMax && dose.given_units() <= kDoseUnitsMax,
      "the amount given is not plausible: check the unit");
}

}  // namespace wrackline
