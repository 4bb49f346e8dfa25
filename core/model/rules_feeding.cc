// The rules of diet plans, meals and portions.
#include "model/read_message.h"
#include "records.pb.h"

namespace wrackline {

using namespace proto;  // This file speaks of nothing else.

void validate_diet_plan(ByteView fields, std::vector<std::string>& problems) {
  DietPlan plan;
  if (!read_to_judge(fields, plan, problems)) return;
  expect(problems, is_usable(plan.animal()), "the plan names no animal: say whose diet it is");
  expect(problems, plan.has_first_day(), "the first day is missing: say from which day on the plan holds");
  expect(problems, is_plausible_day(plan.first_day()) && is_plausible_day(plan.last_day()),
         "a day of the plan is not plausible: check the dates");
  expect(problems, !plan.has_last_day() || plan.last_day() >= plan.first_day(),
         "the last day is before the first: correct one of the two");
  // No lines could mean a fast or a forgotten page. A fast is written down as such.
  expect(problems, plan.lines_size() > 0,
         "the plan has no lines: add what is to be fed; for a fast, a line of 0 g");
  expect(problems, !plan.has_approved_by() || is_usable(plan.approved_by()),
         "the one who approved is not a record: choose the person again");
  bool food = true, slot = true, weekdays = true, mass = true;
  for (const DietLine& line : plan.lines()) {
    food = food && is_usable(line.food());
    slot = slot && line.slot_min() < kMinutesPerDay;
    weekdays = weekdays && line.weekdays() <= 127;
    mass = mass && line.mass_mg() <= kPortionMgMax && line.tolerance_mg() <= kPortionMgMax;
  }
  expect(problems, food, "a line of the plan names no food: choose one");
  expect(problems, slot, "a slot of the plan is not within the day: give minutes after midnight, 0 to 1439");
  expect(problems, weekdays, "the weekdays of a line are not Monday to Sunday: choose them again");
  expect(problems, mass, "a mass of the plan is more than 1000 kg: check the unit");
}

void validate_meal(ByteView fields, std::vector<std::string>& problems) {
  Meal meal;
  if (!read_to_judge(fields, meal, problems)) return;
  expect(problems, is_usable(meal.animal()), "the meal names no animal: say who was fed");
  expect(problems, meal.slot_min() < kMinutesPerDay,
         "the slot is not within the day: give minutes after midnight, 0 to 1439");
  expect(problems, !meal.has_session() || is_usable(meal.session()),
         "the training session is not a record: choose it again");
  expect_day(problems, meal);
}

void validate_portion(ByteView fields, std::vector<std::string>& problems) {
  Portion portion;
  if (!read_to_judge(fields, portion, problems)) return;
  expect(problems, is_usable(portion.meal()), "the portion names no meal: say which meal it belongs to");
  expect(problems, is_usable(portion.food()), "the portion names no food: say what was offered");

  // A portion that nobody weighed is still worth a record, as long as it does not pretend: no weight at all
  // is allowed, two that could contradict each other are not.
  const bool by_dish = portion.has_gross_mg() || portion.has_tare_mg();
  const bool net = portion.has_offered_mg();
  expect(
      problems, !(by_dish && net),
      "the portion is weighed in two ways: give either dish and food with the empty dish, or the food alone");
  expect(problems, portion.has_gross_mg() == portion.has_tare_mg(),
         "dish with food and empty dish go together: give both, or weigh the food alone");
  expect(problems,
         !(portion.has_gross_mg() && portion.has_tare_mg()) || portion.gross_mg() >= portion.tare_mg(),
         "the dish with food is lighter than the empty dish: weigh again, or swap the two");
  expect(problems, !portion.has_left_mg() || net || by_dish,
         "the leftover is weighed but not what was offered: give the offered mass, or leave both out");
  expect(problems,
         portion.gross_mg() <= kPortionMgMax && portion.tare_mg() <= kPortionMgMax &&
             portion.offered_mg() <= kPortionMgMax && portion.left_mg() <= kPortionMgMax,
         "a mass is more than 1000 kg: check the unit");
  const bool substitutes = portion.has_substitutes();
  expect(problems, !substitutes || is_usable(portion.substitutes()),
         "the food this one stands in for is not a record: choose it again");
  expect(problems, substitutes == (portion.substituted_by() != EQUALITY_UNSPECIFIED),
         "a substitution needs both: the food that was missing, and whether mass or energy was made equal");
  expect(problems, substitutes || !portion.has_substituted_mg(),
         "a mass that was substituted is given without the food: choose the food that was missing");
  expect(problems, portion.substituted_mg() <= kPortionMgMax, "the mass substituted is more than 1000 kg: check the unit");
  expect(problems, !portion.has_lot() || is_usable(portion.lot()), "the lot is not a record: choose it again");
  expect(problems, !portion.has_thaw_batch() || is_usable(portion.thaw_batch()),
         "the thaw batch is not a record: choose it again");
  expect(
      problems,
      !portion.has_soak_ppm() || (portion.soak_ppm() >= kSoakPpmMin && portion.soak_ppm() <= kSoakPpmMax),
      "the soak correction is not plausible: give the control's mass after per its mass before, in parts per "
      "million, or leave it out when no control was weighed");
}

}  // namespace wrackline
