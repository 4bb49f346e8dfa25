// analytics/intake.h: the figures of one day.
//
// Foods and their source are those of support/intake_day.h; the dry-matter and energy totals below were computed from them by an
// independent script.
#include <catch2/catch.hpp>

#include "support/intake_day.h"

using namespace wrackline;

TEST_CASE("a corrected leftover rounds halves away from zero", "[analytics]") {
  CHECK(figures_of_portions({portion(kRomaine, 10, 3, 2'000'000)}).left_mg == 2u);  // 1.5
  CHECK(figures_of_portions({portion(kRomaine, 10, 1, 4'000'000)}).left_mg == 0u);  // 0.25
}

TEST_CASE("a soak correction of 0 corrects nothing rather than dividing by it", "[analytics]") {
  CHECK(figures_of_portions({portion(kRomaine, 500'000, 120'000, 0)}).eaten_mg == 380'000);
}

TEST_CASE("energy and dry matter are rounded once, over the day", "[analytics]") {
  // A milligram of romaine is 0.17 cal; each alone would round to 0.
  const IntakeDayFigures day =
      figures_of_portions({portion(kRomaine, 1, 0), portion(kRomaine, 1, 0), portion(kRomaine, 1, 0)});
  CHECK(day.energy_cal == 1);     // 0.51
  CHECK(day.dry_matter_mg == 0);  // 0.1617
}

TEST_CASE("a day without a meal is not recorded and has no figure at all", "[analytics]") {
  IntakeInput input =
      input_of({{kToday - 1, {portion(kHerring, 1, 0)}}, {kToday + 1, {portion(kHerring, 1, 0)}}});
  input.masses = {{kToday, 12'000'000}};
  input.plans = {{kToday, std::nullopt, {{0, 300'000}}}};
  const IntakeDayFigures day = figures_of(input);
  CHECK(day.day == kToday);
  CHECK_FALSE(day.recorded);
  CHECK_FALSE(day.complete);
  CHECK_FALSE(day.offered_mg);
  CHECK_FALSE(day.left_mg);
  CHECK_FALSE(day.eaten_mg);
  CHECK_FALSE(day.energy_cal);
  CHECK_FALSE(day.dry_matter_mg);
  CHECK_FALSE(day.body_mass_mg);
  CHECK_FALSE(day.planned_mg);
}

TEST_CASE("a leftover of nothing is not a leftover that nobody weighed", "[analytics]") {
  const IntakeDayFigures nothing_left = figures_of_portions({portion(kHerring, 300'000, 0)});
  CHECK(nothing_left.left_mg == 0u);
  CHECK(nothing_left.eaten_mg == 300'000);
  const IntakeDayFigures not_weighed = figures_of_portions({portion(kHerring, 300'000, std::nullopt)});
  CHECK(not_weighed.recorded);
  CHECK_FALSE(not_weighed.complete);
  CHECK(not_weighed.portions_unweighed == 1);
  CHECK(not_weighed.offered_mg == 300'000u);
  CHECK_FALSE(not_weighed.left_mg);
  CHECK_FALSE(not_weighed.eaten_mg);
  CHECK_FALSE(not_weighed.energy_cal);
}

TEST_CASE("what was eaten is summed over the weighed portions only", "[analytics]") {
  const IntakeDayFigures day =
      figures_of_portions({portion(kHerring, 300'000, 100'000), portion(kSquid, 200'000, std::nullopt)});
  CHECK(day.offered_mg == 500'000u);
  CHECK(day.left_mg == 100'000u);
  CHECK(day.eaten_mg == 200'000);
  CHECK(day.energy_cal == 316'000);
  CHECK(day.portions_unweighed == 1);
  CHECK_FALSE(day.complete);
}

TEST_CASE("a portion whose offered mass nobody knows is not weighed, whatever came back", "[analytics]") {
  const IntakeDayFigures day = figures_of_portions({portion(kHerring, std::nullopt, 100'000)});
  CHECK_FALSE(day.offered_mg);
  CHECK_FALSE(day.eaten_mg);
  CHECK(day.portions_unweighed == 1);
}

TEST_CASE("a refused portion is eaten zero, and that is known", "[analytics]") {
  const IntakeDayFigures day = figures_of_portions({portion(kHerring, 300'000, 300'000)});
  CHECK(day.complete);
  CHECK(day.eaten_mg == 0);
  CHECK(day.energy_cal == 0);
}

TEST_CASE("more back than offered is negative, and stays so", "[analytics]") {
  const IntakeDayFigures day = figures_of_portions({portion(kHerring, 100'000, 110'000)});
  CHECK(day.eaten_mg == -10'000);
  CHECK(day.energy_cal == -15'800);
  CHECK(day.dry_matter_mg == -2'795);
  CHECK(day.complete);
}

TEST_CASE("a meal without a portion makes the day incomplete", "[analytics]") {
  const IntakeDayFigures alone = figures_of(input_of({{kToday, {}}}));
  CHECK(alone.recorded);
  CHECK(alone.meals == 1);
  CHECK_FALSE(alone.complete);
  CHECK_FALSE(alone.eaten_mg);
  const IntakeDayFigures beside = figures_of(input_of({{kToday, {}}, {kToday, {portion(kHerring, 5, 0)}}}));
  CHECK_FALSE(beside.complete);
  CHECK(beside.eaten_mg == 5);
}

TEST_CASE("energy and dry matter are absent when a weighed food lacks the figure", "[analytics]") {
  IntakeInput input =
      input_of({{kToday, {portion(kHerring, 100'000, 0), portion(kUnknown, 50'000, 50'000)}}});
  CHECK_FALSE(figures_of(input).energy_cal);  // Even though none of it was eaten.
  CHECK_FALSE(figures_of(input).dry_matter_mg);
  CHECK(figures_of(input).eaten_mg == 100'000);
  input.foods[kUnknown].water_ppm = 500'000;
  CHECK_FALSE(figures_of(input).energy_cal);
  CHECK(figures_of(input).dry_matter_mg == 27'950);
  // A portion that was not weighed adds nothing, so its food need not be known.
  input.foods[kUnknown].water_ppm.reset();
  input.meals[0].portions[1].left_mg.reset();
  CHECK(figures_of(input).energy_cal == 158'000);
}

TEST_CASE("a food that is not here yet, or drier than dry, is a food of which nothing is known",
          "[analytics]") {
  CHECK_FALSE(figures_of_portions({portion(99, 100'000, 0)}).energy_cal);
  CHECK(figures_of_portions({portion(99, 100'000, 0)}).eaten_mg == 100'000);
  IntakeInput input = input_of({{kToday, {portion(kUnknown, 100'000, 0)}}});
  input.foods[kUnknown].water_ppm = 1'000'001;
  CHECK_FALSE(figures_of(input).dry_matter_mg);
  input.foods[kUnknown].water_ppm = 1'000'000;
  CHECK(figures_of(input).dry_matter_mg == 0);
}

TEST_CASE("body mass is the last one on or before the day, with its age", "[analytics]") {
  IntakeInput input = input_of({{kToday, {portion(kHerring, 480'000, 0)}}});
  CHECK_FALSE(figures_of(input).body_mass_mg);
  CHECK_FALSE(figures_of(input).body_mass_ppm);
  input.masses = {{kToday + 1, 99}, {kToday - 31, 11'000'000}, {kToday - 40, 10'000'000}};
  IntakeDayFigures day = figures_of(input);
  CHECK(day.body_mass_mg == 11'000'000u);
  CHECK(day.body_mass_age_days == 31u);
  CHECK(day.body_mass_ppm == 43'636);  // 480 g of 11 kg, 4.3636 %
  input.masses.push_back({kToday, 12'000'000});
  day = figures_of(input);
  CHECK(day.body_mass_mg == 12'000'000u);
  CHECK(day.body_mass_age_days == 0u);
  CHECK(day.body_mass_ppm == 40'000);
  input.masses.push_back({kToday, 12'500'000});  // Weighed again the same day.
  CHECK(figures_of(input).body_mass_mg == 12'500'000u);
  input.masses.push_back({kToday, 0});  // No mass.
  CHECK(figures_of(input).body_mass_mg == 12'500'000u);
}

TEST_CASE("intake per body mass is absent when nothing was weighed, and negative when eaten is",
          "[analytics]") {
  IntakeInput input = input_of({{kToday, {portion(kHerring, 480'000, std::nullopt)}}});
  input.masses = {{kToday, 12'000'000}};
  CHECK(figures_of(input).body_mass_mg == 12'000'000u);
  CHECK_FALSE(figures_of(input).body_mass_ppm);
  input.meals[0].portions[0].left_mg = 600'000;
  CHECK(figures_of(input).body_mass_ppm == -10'000);
}

TEST_CASE("the plan in force is the one that began last and has not ended", "[analytics]") {
  IntakeInput input = input_of({{kToday, {portion(kHerring, 150'000, 0)}}});
  CHECK_FALSE(figures_of(input).planned_mg);
  input.plans = {{kToday + 1, std::nullopt, {{0, 1}}}};
  CHECK_FALSE(figures_of(input).planned_mg);
  input.plans.push_back({kToday - 30, std::nullopt, {{0, 200'000}, {0, 100'000}}});
  CHECK(figures_of(input).planned_mg == 300'000u);
  CHECK(figures_of(input).plan_ppm == 500'000);
  input.plans.push_back({kToday - 60, std::nullopt, {{0, 7}}});
  CHECK(figures_of(input).planned_mg == 300'000u);
  input.plans.push_back({kToday, kToday, {{0, 75'000}}});
  CHECK(figures_of(input).planned_mg == 75'000u);
  CHECK(figures_of(input).plan_ppm == 2'000'000);
  input.plans.push_back({kToday, std::nullopt, {{0, 50'000}}});  // Begins the same day, written later.
  CHECK(figures_of(input).planned_mg == 50'000u);
  input.plans.pop_back();
  // A plan for a week that is over gives way to the open one again.
  input.plans.back() = {kToday - 7, kToday - 1, {{0, 75'000}}};
  CHECK(figures_of(input).planned_mg == 300'000u);
}

TEST_CASE("a plan's line counts on its weekdays only", "[analytics]") {
  // Python's datetime: 2024-10-04 is a Friday, 1969-12-29 (day -3) a Monday, 1970-01-01 a Thursday.
  const std::uint32_t monday = 1, thursday = 8, friday = 16, sunday = 64;
  const auto planned_on = [](Day day, std::uint32_t weekdays) {
    IntakeInput input = input_of({{day, {portion(kHerring, 1, 0)}}});
    input.first_day = input.last_day = day;
    input.plans = {{day - 10, std::nullopt, {{weekdays, 5}}}};
    return figures_of(input).planned_mg;
  };
  CHECK(planned_on(20000, friday) == 5u);
  CHECK(planned_on(20000, 127 - friday) == 0u);
  CHECK(planned_on(20000, 0) == 5u);
  CHECK(planned_on(20002, sunday) == 5u);
  CHECK(planned_on(20003, monday) == 5u);
  CHECK(planned_on(0, thursday) == 5u);
  CHECK(planned_on(-3, monday) == 5u);
  CHECK(planned_on(-4, sunday) == 5u);
  CHECK(planned_on(-4, monday) == 0u);
}

TEST_CASE("nothing planned for the day is planned zero, with no ratio to it", "[analytics]") {
  IntakeInput input = input_of({{kToday, {portion(kHerring, 1, 0)}}});
  input.plans = {{kToday, std::nullopt, {}}};
  CHECK(figures_of(input).planned_mg == 0u);
  CHECK_FALSE(figures_of(input).plan_ppm);
}

TEST_CASE("a line of the day without a mass leaves what was planned unknown", "[analytics]") {
  IntakeInput input = input_of({{kToday, {portion(kHerring, 1, 0)}}});
  input.plans = {{kToday, std::nullopt, {{0, 5}, {16, std::nullopt}}}};
  CHECK_FALSE(figures_of(input).planned_mg);
  input.plans[0].lines[1].weekdays = 1;  // Mondays; today is a Friday.
  CHECK(figures_of(input).planned_mg == 5u);
}

TEST_CASE("a mass too large for any figure makes it absent, and spoils no other day", "[analytics]") {
  constexpr std::uint64_t kHuge = ~std::uint64_t{0};
  const IntakeDayFigures eaten = figures_of_portions({portion(kHerring, kHuge, 0)});
  CHECK(eaten.offered_mg == kHuge);
  CHECK_FALSE(eaten.eaten_mg);
  CHECK_FALSE(eaten.energy_cal);
  CHECK_FALSE(eaten.complete);
  const IntakeDayFigures left = figures_of_portions({portion(kHerring, 0, kHuge, 1)});
  CHECK_FALSE(left.left_mg);
  CHECK_FALSE(left.eaten_mg);
  const IntakeDayFigures offered =
      figures_of_portions({portion(kHerring, kHuge, kHuge), portion(kHerring, 1, 0)});
  CHECK_FALSE(offered.offered_mg);
  CHECK(offered.eaten_mg == 1);
  // Each portion fits, and their sum does not.
  const IntakeDayFigures sum = figures_of_portions({portion(kHerring, kHuge / 2, 0), portion(kHerring, 1, 0)});
  CHECK_FALSE(sum.eaten_mg);
  CHECK_FALSE(sum.complete);
  // Eaten fits, and its energy does not.
  IntakeInput input = input_of({{kToday, {portion(kUnknown, kHuge / 4, 0)}}});
  input.foods[kUnknown] = {0xffffffff, 0};
  input.masses = {{kToday, 1}};
  const IntakeDayFigures energy = figures_of(input);
  CHECK(energy.eaten_mg == static_cast<std::int64_t>(kHuge / 4));
  CHECK_FALSE(energy.energy_cal);
  CHECK(energy.dry_matter_mg == energy.eaten_mg);
  CHECK_FALSE(energy.body_mass_ppm);
}
