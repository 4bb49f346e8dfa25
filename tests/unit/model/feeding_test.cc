// The rules of diet plan, meal and portion (model/rules_feeding.cc), and the husbandry day.
#include <catch2/catch.hpp>

#include "records.pb.h"
#include "support/rule_slips.h"

using namespace wrackline;

namespace {


// Local 09:00 on day 20000 (2024-10-04), two hours east of UTC.
proto::Meal sound_meal() {
  proto::Meal meal;
  set_ref(meal.mutable_animal(), 1, 2);
  meal.set_day(20000);
  meal.set_slot_min(540);
  meal.set_happened_ms(20000 * kDayMs + 7 * 3'600'000);
  meal.set_utc_offset_min(120);
  return meal;
}

proto::Portion sound_portion() {
  proto::Portion portion;
  set_ref(portion.mutable_meal(), 1, 3);
  set_ref(portion.mutable_food(), 1, 4);
  portion.set_offered_mg(500'000);
  portion.set_left_mg(0);
  return portion;
}

proto::DietPlan sound_plan() {
  proto::DietPlan plan;
  set_ref(plan.mutable_animal(), 1, 2);
  plan.set_first_day(20000);
  proto::DietLine* line = plan.add_lines();
  set_ref(line->mutable_food(), 1, 4);
  line->set_slot_min(1439);
  line->set_weekdays(127);
  line->set_mass_mg(300'000);
  return plan;
}

bool is_day_of(std::uint64_t happened_ms, int utc_offset_min, int day) {
  proto::Meal meal = sound_meal();
  meal.set_happened_ms(happened_ms);
  meal.set_utc_offset_min(utc_offset_min);
  meal.set_day(day);
  return judge(Kind::kMeal, meal).empty();
}

}  // namespace

TEST_CASE("a sound meal, portion and plan have no problem", "[model]") {
  CHECK(judge(Kind::kMeal, sound_meal()).empty());
  CHECK(judge(Kind::kPortion, sound_portion()).empty());
  CHECK(judge(Kind::kDietPlan, sound_plan()).empty());
}

TEST_CASE("a meal says whose it is and on which day", "[model]") {
  proto::Meal meal = sound_meal();
  meal.clear_animal();
  CHECK(only_problem(Kind::kMeal, meal, "no animal"));
  meal = sound_meal();
  meal.clear_day();
  CHECK(only_problem(Kind::kMeal, meal, "day is missing"));
  meal.set_day(200'000);
  CHECK(only_problem(Kind::kMeal, meal, "not plausible"));
}

TEST_CASE("a meal's slot lies within the day, and may be missing", "[model]") {
  proto::Meal meal = sound_meal();
  meal.set_slot_min(1439);
  CHECK(judge(Kind::kMeal, meal).empty());
  meal.set_slot_min(1440);
  CHECK(only_problem(Kind::kMeal, meal, "slot"));
  meal.clear_slot_min();
  CHECK(judge(Kind::kMeal, meal).empty());
}

TEST_CASE("the time a meal happened may be missing, but not half of it", "[model]") {
  proto::Meal meal = sound_meal();
  meal.clear_happened_ms();
  CHECK(only_problem(Kind::kMeal, meal, "go together"));
  meal.clear_utc_offset_min();
  CHECK(judge(Kind::kMeal, meal).empty());
  meal.set_happened_ms(20000 * kDayMs);
  CHECK(only_problem(Kind::kMeal, meal, "go together"));
}

TEST_CASE("a time or an offset out of all bounds is one problem, not a wrong day", "[model]") {
  proto::Meal meal = sound_meal();
  meal.set_happened_ms(0xffffffffffffffff);
  CHECK(only_problem(Kind::kMeal, meal, "time it happened is not plausible"));
  meal = sound_meal();
  meal.set_utc_offset_min(841);
  CHECK(only_problem(Kind::kMeal, meal, "14 hours"));
  meal.set_utc_offset_min(-2147483647);
  CHECK(only_problem(Kind::kMeal, meal, "14 hours"));
}

TEST_CASE("the day is the local day at midnight exactly, on either side of UTC", "[model]") {
  CHECK(is_day_of(20000 * kDayMs, 0, 20000));
  CHECK(is_day_of(20000 * kDayMs - 1, 0, 19999));
  CHECK_FALSE(is_day_of(20000 * kDayMs - 1, 0, 20000));
  CHECK_FALSE(is_day_of(20000 * kDayMs, 0, 19999));
  // 23:30 UTC is the next day two hours east, and still the same one three hours west.
  CHECK(is_day_of(20000 * kDayMs - 1'800'000, 120, 20000));
  CHECK(is_day_of(20000 * kDayMs - 1'800'000, -180, 19999));
  CHECK(is_day_of(20000 * kDayMs + 2 * 3'600'000, -180, 19999));
}

TEST_CASE("the day before 1970 is day -1, not day 0", "[model]") {
  CHECK(is_day_of(0, 0, 0));
  CHECK(is_day_of(0, -1, -1));
  CHECK_FALSE(is_day_of(0, -1, 0));
  CHECK(is_day_of(59'999, -1, -1));
  CHECK(is_day_of(60'000, -1, 0));
  CHECK(is_day_of(0, -840, -1));
}

// Daylight saving time of New York in 2026, computed with dateutil and tzdata: 09:00 local is 14:00 UTC on
// 7 March (day 20519) and 13:00 UTC on 8 March.
TEST_CASE("the stored offset, not a zone, decides the day across a change of clocks", "[model]") {
  CHECK(is_day_of(20519 * kDayMs + 14 * 3'600'000, -300, 20519));
  CHECK(is_day_of(20520 * kDayMs + 13 * 3'600'000, -240, 20520));
  // 23:30 local on 8 March is 03:30 UTC of the 9th; with the winter offset it would be 22:30, the same day.
  CHECK(is_day_of(20521 * kDayMs + 3 * 3'600'000 + 1'800'000, -240, 20520));
  // 00:30 local on 9 March is 04:30 UTC; with the winter offset it would fall on the 8th.
  CHECK(is_day_of(20521 * kDayMs + 4 * 3'600'000 + 1'800'000, -240, 20521));
  CHECK_FALSE(is_day_of(20521 * kDayMs + 4 * 3'600'000 + 1'800'000, -300, 20521));
}

TEST_CASE("a portion names its meal and its food", "[model]") {
  proto::Portion portion = sound_portion();
  portion.clear_meal();
  CHECK(only_problem(Kind::kPortion, portion, "no meal"));
  portion = sound_portion();
  portion.clear_food();
  CHECK(only_problem(Kind::kPortion, portion, "no food"));
}

TEST_CASE("a portion is weighed with its dish or without, never both", "[model]") {
  proto::Portion portion = sound_portion();
  portion.clear_offered_mg();
  portion.set_gross_mg(700'000);
  portion.set_tare_mg(200'000);
  CHECK(judge(Kind::kPortion, portion).empty());
  portion.set_offered_mg(500'000);
  CHECK(only_problem(Kind::kPortion, portion, "two ways"));
}

TEST_CASE("a dish weighed full was weighed empty too, and was lighter then", "[model]") {
  proto::Portion portion = sound_portion();
  portion.clear_offered_mg();
  portion.set_gross_mg(700'000);
  CHECK(only_problem(Kind::kPortion, portion, "go together"));
  portion.set_tare_mg(700'000);
  CHECK(judge(Kind::kPortion, portion).empty());
  portion.set_tare_mg(700'001);
  CHECK(only_problem(Kind::kPortion, portion, "lighter"));
  portion.clear_gross_mg();
  CHECK(only_problem(Kind::kPortion, portion, "go together"));
}

TEST_CASE("a portion nobody weighed is kept, but not with a leftover alone", "[model]") {
  proto::Portion portion = sound_portion();
  portion.clear_offered_mg();
  CHECK(only_problem(Kind::kPortion, portion, "not what was offered"));
  portion.clear_left_mg();
  CHECK(judge(Kind::kPortion, portion).empty());
}

TEST_CASE("more may come back than was offered, since a wet leftover is heavier", "[model]") {
  proto::Portion portion = sound_portion();
  portion.set_left_mg(510'000);
  portion.set_soak_ppm(1'120'000);
  CHECK(judge(Kind::kPortion, portion).empty());
}

TEST_CASE("a mass of a portion is at most 1000 kg", "[model]") {
  proto::Portion portion = sound_portion();
  portion.set_offered_mg(1'000'000'000);
  CHECK(judge(Kind::kPortion, portion).empty());
  portion.set_offered_mg(1'000'000'001);
  CHECK(only_problem(Kind::kPortion, portion, "1000 kg"));
  portion = sound_portion();
  portion.set_left_mg(0xffffffffffffffff);
  CHECK(only_problem(Kind::kPortion, portion, "1000 kg"));
}

TEST_CASE("a soak correction is a plausible number of parts per million", "[model]") {
  proto::Portion portion = sound_portion();
  portion.set_soak_ppm(0);
  CHECK(only_problem(Kind::kPortion, portion, "soak"));
  portion.set_soak_ppm(1120);  // Per mille, by mistake.
  CHECK(only_problem(Kind::kPortion, portion, "soak"));
  portion.set_soak_ppm(940'000);
  CHECK(judge(Kind::kPortion, portion).empty());
  portion.set_soak_ppm(0xffffffff);
  CHECK(only_problem(Kind::kPortion, portion, "soak"));
}

TEST_CASE("a plan names its animal and its first day, and ends no earlier than it begins", "[model]") {
  proto::DietPlan plan = sound_plan();
  plan.clear_animal();
  CHECK(only_problem(Kind::kDietPlan, plan, "no animal"));
  plan = sound_plan();
  plan.clear_first_day();
  CHECK(only_problem(Kind::kDietPlan, plan, "first day is missing"));
  plan = sound_plan();
  plan.set_last_day(20000);
  CHECK(judge(Kind::kDietPlan, plan).empty());
  plan.set_last_day(19999);
  CHECK(only_problem(Kind::kDietPlan, plan, "before the first"));
  plan.set_last_day(2'000'000);
  CHECK(only_problem(Kind::kDietPlan, plan, "not plausible"));
}

TEST_CASE("a plan has lines, and each names a food", "[model]") {
  proto::DietPlan plan = sound_plan();
  plan.clear_lines();
  CHECK(only_problem(Kind::kDietPlan, plan, "no lines"));
  plan = sound_plan();
  plan.add_lines();  // Empty: no food; the rest may be missing.
  CHECK(only_problem(Kind::kDietPlan, plan, "names no food"));
}

TEST_CASE("a plan's slots, weekdays and masses keep their bounds, in every line", "[model]") {
  proto::DietPlan plan = sound_plan();
  *plan.add_lines() = plan.lines(0);
  plan.mutable_lines(0)->set_slot_min(1440);
  CHECK(only_problem(Kind::kDietPlan, plan, "slot"));
  plan.mutable_lines(0)->set_slot_min(0);
  plan.mutable_lines(0)->set_weekdays(128);
  CHECK(only_problem(Kind::kDietPlan, plan, "weekdays"));
  plan.mutable_lines(0)->set_weekdays(0);
  CHECK(judge(Kind::kDietPlan, plan).empty());
  plan.mutable_lines(1)->set_mass_mg(1'000'000'001);
  CHECK(only_problem(Kind::kDietPlan, plan, "1000 kg"));
  plan.mutable_lines(1)->set_mass_mg(1);
  plan.mutable_lines(1)->set_tolerance_mg(1'000'000'001);
  CHECK(only_problem(Kind::kDietPlan, plan, "1000 kg"));
}

TEST_CASE("who approved a plan, when given, is a record", "[model]") {
  proto::DietPlan plan = sound_plan();
  set_ref(plan.mutable_approved_by(), 1, 1);
  CHECK(judge(Kind::kDietPlan, plan).empty());
  set_ref(plan.mutable_approved_by(), 1, 0);
  CHECK(only_problem(Kind::kDietPlan, plan, "approved"));
}

TEST_CASE("every slip of a record is named at once", "[model]") {
  proto::Portion portion = sound_portion();
  portion.clear_meal();
  portion.clear_food();
  portion.set_soak_ppm(0);
  CHECK(judge(Kind::kPortion, portion).size() == 3);
}
