// The rules of diet plans, meals and portions.
#include "model/read_message.h"
#include "records.pb.h"

namespace wrackline {

using namespace proto;  // This file speaks of nothing else.

void validate_diet_plan(ByteView fields, Problems& problems) {
  DietPlan plan;
  if (!read_to_judge(fields, plan, problems)) return;
  expect(problems, is_usable(plan.animal()), DietPlan::kAnimalFieldNumber, ProblemCode::kDietNamesNoAnimal);
  expect(problems, plan.has_first_day(), DietPlan::kFirstDayFieldNumber, ProblemCode::kFirstDayOfPlanIsMissing);
  expect(problems, is_plausible_day(plan.first_day()) && is_plausible_day(plan.last_day()), DietPlan::kFirstDayFieldNumber, ProblemCode::kDayOfPlanNotPlausible);
  expect(problems, !plan.has_last_day() || plan.last_day() >= plan.first_day(), DietPlan::kLastDayFieldNumber, ProblemCode::kLastDayBeforeFirst);
  // No lines could mean a fast or a forgotten page. A fast is written down as such.
  expect(problems, plan.lines_size() > 0, DietPlan::kLinesFieldNumber, ProblemCode::kDietHasNoLines);
  expect(problems, !plan.has_approved_by() || is_usable(plan.approved_by()), DietPlan::kApprovedByFieldNumber, ProblemCode::kApproverIsNoRecord);
  bool food = true, slot = true, weekdays = true, mass = true;
  for (const DietLine& line : plan.lines()) {
    food = food && is_usable(line.food());
    slot = slot && line.slot_min() < kMinutesPerDay;
    weekdays = weekdays && line.weekdays() <= 127;
    mass = mass && line.mass_mg() <= kPortionMgMax && line.tolerance_mg() <= kPortionMgMax;
  }
  expect(problems, food, DietPlan::kLinesFieldNumber, ProblemCode::kDietLineNamesNoFood);
  expect(problems, slot, DietPlan::kLinesFieldNumber, ProblemCode::kDietSlotNotWithinDay);
  expect(problems, weekdays, DietPlan::kLinesFieldNumber, ProblemCode::kWeekdaysAreNone);
  expect(problems, mass, DietPlan::kLinesFieldNumber, ProblemCode::kDietMassOver1000Kg);
}

void validate_meal(ByteView fields, Problems& problems) {
  Meal meal;
  if (!read_to_judge(fields, meal, problems)) return;
  expect(problems, is_usable(meal.animal()), Meal::kAnimalFieldNumber, ProblemCode::kMealNamesNoAnimal);
  expect(problems, meal.slot_min() < kMinutesPerDay, Meal::kSlotMinFieldNumber, ProblemCode::kMealSlotNotWithinDay);
  expect(problems, !meal.has_session() || is_usable(meal.session()), Meal::kSessionFieldNumber, ProblemCode::kSessionIsNoRecord);
  expect_day(problems, meal);
}

void validate_portion(ByteView fields, Problems& problems) {
  Portion portion;
  if (!read_to_judge(fields, portion, problems)) return;
  expect(problems, is_usable(portion.meal()), Portion::kMealFieldNumber, ProblemCode::kPortionNamesNoMeal);
  expect(problems, is_usable(portion.food()), Portion::kFoodFieldNumber, ProblemCode::kPortionNamesNoFood);

  // A portion that nobody weighed is still worth a record, as long as it does not pretend: no weight at all
  // is allowed, two that could contradict each other are not.
  const bool by_dish = portion.has_gross_mg() || portion.has_tare_mg();
  const bool net = portion.has_offered_mg();
  expect(problems, !(by_dish && net), Portion::kOfferedMgFieldNumber, ProblemCode::kPortionWeighedInTwoWays);
  expect(problems, portion.has_gross_mg() == portion.has_tare_mg(), Portion::kGrossMgFieldNumber, ProblemCode::kGrossAndTareGoTogether);
  expect(problems, !(portion.has_gross_mg() && portion.has_tare_mg()) || portion.gross_mg() >= portion.tare_mg(), Portion::kGrossMgFieldNumber, ProblemCode::kGrossLighterThanTare);
  expect(problems, !portion.has_left_mg() || net || by_dish, Portion::kLeftMgFieldNumber, ProblemCode::kLeftWithoutOffered);
  expect(problems, portion.gross_mg() <= kPortionMgMax && portion.tare_mg() <= kPortionMgMax && portion.offered_mg() <= kPortionMgMax && portion.left_mg() <= kPortionMgMax, Portion::kGrossMgFieldNumber, ProblemCode::kPortionMassOver1000Kg);
  const bool substitutes = portion.has_substitutes();
  expect(problems, !substitutes || is_usable(portion.substitutes()), Portion::kSubstitutesFieldNumber, ProblemCode::kSubstitutedFoodIsNoRecord);
  expect(problems, substitutes == (portion.substituted_by() != EQUALITY_UNSPECIFIED), Portion::kSubstitutedByFieldNumber, ProblemCode::kSubstitutionNeedsFoodAndEquality);
  expect(problems, substitutes || !portion.has_substituted_mg(), Portion::kSubstitutedMgFieldNumber, ProblemCode::kSubstitutedMassWithoutFood);
  expect(problems, portion.substituted_mg() <= kPortionMgMax, Portion::kSubstitutedMgFieldNumber, ProblemCode::kSubstitutedMassOver1000Kg);
  expect(problems, !portion.has_lot() || is_usable(portion.lot()), Portion::kLotFieldNumber, ProblemCode::kLotIsNoRecord);
  expect(problems, !portion.has_thaw_batch() || is_usable(portion.thaw_batch()), Portion::kThawBatchFieldNumber, ProblemCode::kThawBatchIsNoRecord);
  expect(problems, !portion.has_soak_ppm() || (portion.soak_ppm() >= kSoakPpmMin && portion.soak_ppm() <= kSoakPpmMax), Portion::kSoakPpmFieldNumber, ProblemCode::kSoakNotPlausible);
}

}  // namespace wrackline
