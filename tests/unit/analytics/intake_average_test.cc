// analytics/intake.h: a span of days, its mean and median.
#include <algorithm>
#include <catch2/catch.hpp>

#include "analytics/intake.h"
#include "support/random.h"

using namespace wrackline;

namespace {

// One meal a day of one food, from day 100 on; nothing where the day has no entry.
struct DayOf {
  std::optional<std::uint64_t> offered_mg;
  std::optional<std::uint64_t> left_mg;
};

IntakeInput input_of(const std::vector<std::optional<DayOf>>& days) {
  IntakeInput input;
  input.first_day = 100;
  input.last_day = 99 + static_cast<Day>(days.size());
  input.foods = {{1000, 0}};
  for (std::size_t i = 0; i < days.size(); ++i) {
    if (!days[i]) continue;
    input.meals.push_back(
        {100 + static_cast<Day>(i), {{0, days[i]->offered_mg, days[i]->left_mg, std::nullopt}}});
  }
  return input;
}

IntakeFigures figures_of(const IntakeInput& input) {
  const Result<IntakeFigures> figures = compute_intake(input);
  REQUIRE(figures);
  return *figures;
}

IntakeFigures figures_of_eaten(const std::vector<std::int64_t>& eaten_mg) {
  std::vector<std::optional<DayOf>> days;
  for (std::int64_t mg : eaten_mg) {
    days.push_back(mg >= 0 ? DayOf{static_cast<std::uint64_t>(mg), 0}
                           : DayOf{0, static_cast<std::uint64_t>(-mg)});
  }
  return figures_of(input_of(days));
}

}  // namespace

TEST_CASE("a span has an entry for each of its days, in order, meals or none", "[analytics]") {
  const IntakeFigures figures = figures_of(input_of({DayOf{5, 0}, std::nullopt, DayOf{6, std::nullopt}}));
  REQUIRE(figures.days.size() == 3);
  for (int i = 0; i < 3; ++i) CHECK(figures.days[static_cast<std::size_t>(i)].day == 100 + i);
  CHECK(figures.days_recorded == 2);
  CHECK(figures.days_complete == 1);
}

TEST_CASE("mean and median leave out days that are not recorded or not wholly weighed", "[analytics]") {
  const IntakeFigures figures = figures_of(
      input_of({DayOf{300, 0}, std::nullopt, DayOf{900, std::nullopt}, DayOf{100, 100}, DayOf{600, 0}}));
  CHECK(figures.days_recorded == 4);
  CHECK(figures.days_complete == 3);
  CHECK(figures.eaten_mean_mg == 300);  // (300 + 0 + 600) / 3: the refused day counts, as 0.
  CHECK(figures.eaten_median_mg == 300);
  CHECK(figures.energy_mean_cal == 300);
}

TEST_CASE("without a complete day there is no mean and no median", "[analytics]") {
  const IntakeFigures figures = figures_of(input_of({std::nullopt, DayOf{900, std::nullopt}}));
  CHECK(figures.days_complete == 0);
  CHECK_FALSE(figures.eaten_mean_mg);
  CHECK_FALSE(figures.eaten_median_mg);
  CHECK_FALSE(figures.energy_mean_cal);
}

TEST_CASE("the median is the middle day, or the mean of the middle two", "[analytics]") {
  CHECK(figures_of_eaten({9}).eaten_median_mg == 9);
  CHECK(figures_of_eaten({9, 1, 5}).eaten_median_mg == 5);
  CHECK(figures_of_eaten({9, 1, 5, 1000}).eaten_median_mg == 7);
  CHECK(figures_of_eaten({1, 2}).eaten_median_mg == 2);     // 1.5
  CHECK(figures_of_eaten({-1, -2}).eaten_median_mg == -2);  // -1.5
  CHECK(figures_of_eaten({0, -1}).eaten_median_mg == -1);   // -0.5
}

TEST_CASE("the mean rounds to the nearest, halves away from zero", "[analytics]") {
  CHECK(figures_of_eaten({1, 1, 2}).eaten_mean_mg == 1);  // 1.33
  CHECK(figures_of_eaten({1, 2}).eaten_mean_mg == 2);
  CHECK(figures_of_eaten({-1, -2}).eaten_mean_mg == -2);
  CHECK(figures_of_eaten({1, 2, 2}).eaten_mean_mg == 2);  // 1.67
}

// R's data set ChickWeight (Crowder & Hand 1990), chick 1, grams at its twelve weighings, taken here as
// twelve days of intake: mean 1340/12, median (93 + 106)/2 = 99.5, by hand.
TEST_CASE("mean and median of a known series come out to the milligram", "[analytics]") {
  const std::vector<std::int64_t> grams = {42, 51, 59, 64, 76, 93, 106, 125, 149, 171, 199, 205};
  std::vector<std::int64_t> mg;
  for (std::int64_t g : grams) mg.push_back(g * 1000);
  std::reverse(mg.begin(), mg.end());
  const IntakeFigures figures = figures_of_eaten(mg);
  CHECK(figures.eaten_mean_mg == 111'667);  // 1340/12
  CHECK(figures.eaten_median_mg == 99'500);
}

TEST_CASE("sums of huge days do not wrap around", "[analytics]") {
  constexpr std::int64_t kMax = std::numeric_limits<std::int64_t>::max();
  const IntakeFigures figures = figures_of_eaten({kMax, kMax, kMax - 3, kMax});
  CHECK(figures.eaten_mean_mg == kMax - 1);  // The mean is 3/4 below kMax.
  CHECK(figures.eaten_median_mg == kMax);
}

TEST_CASE("mean energy is absent when one complete day lacks it", "[analytics]") {
  IntakeInput input = input_of({DayOf{300, 0}, DayOf{300, 0}, DayOf{300, std::nullopt}});
  CHECK(figures_of(input).energy_mean_cal == 300);
  input.meals[2].portions[0].food = 1;  // Not known, on a day that counts for nothing.
  CHECK(figures_of(input).energy_mean_cal == 300);
  input.meals[1].portions[0].food = 1;
  CHECK_FALSE(figures_of(input).energy_mean_cal);
  CHECK(figures_of(input).eaten_mean_mg == 300);
}

TEST_CASE("body mass is that of its day, all through a span", "[analytics]") {
  IntakeInput input = input_of({DayOf{10, 0}, DayOf{10, 0}, DayOf{10, 0}, DayOf{10, 0}});
  input.masses = {{102, 2000}, {101, 1000}};
  const IntakeFigures figures = figures_of(input);
  CHECK_FALSE(figures.days[0].body_mass_mg);
  CHECK(figures.days[1].body_mass_ppm == 10'000);
  CHECK(figures.days[2].body_mass_ppm == 5'000);
  CHECK(figures.days[3].body_mass_ppm == 5'000);
  CHECK(figures.days[3].body_mass_age_days == 1u);
}

TEST_CASE("the order of meals, foods kept, alters no figure", "[analytics]") {
  Random random = test_random("order of meals");
  for (int round = 0; round < 50; ++round) {
    IntakeInput input;
    input.first_day = -5;
    input.last_day = 5;
    input.foods = {{1580, 720500}, {}, {920, 785500}};
    for (std::uint64_t i = random.below(30); i > 0; --i) {
      IntakeMeal meal;
      meal.day = static_cast<Day>(random.below(13)) - 6;
      for (std::uint64_t k = random.below(4); k > 0; --k) {
        IntakePortion portion;
        portion.food = static_cast<std::size_t>(random.below(4));
        if (!random.once_in(5)) portion.offered_mg = random.below(1'000'000);
        if (!random.once_in(5)) portion.left_mg = random.below(1'000'000);
        if (random.once_in(2))
          portion.soak_ppm = static_cast<std::uint32_t>(500'000 + random.below(1'000'000));
        meal.portions.push_back(portion);
      }
      input.meals.push_back(meal);
    }
    const IntakeFigures before = figures_of(input);
    random.shuffle(input.meals);
    const IntakeFigures after = figures_of(input);
    REQUIRE(before.days.size() == after.days.size());
    REQUIRE(before.eaten_mean_mg == after.eaten_mean_mg);
    REQUIRE(before.eaten_median_mg == after.eaten_median_mg);
    REQUIRE(before.energy_mean_cal == after.energy_mean_cal);
    for (std::size_t i = 0; i < before.days.size(); ++i) {
      const IntakeDayFigures &a = before.days[i], &b = after.days[i];
      REQUIRE(a.eaten_mg == b.eaten_mg);
      REQUIRE(a.energy_cal == b.energy_cal);
      REQUIRE(a.dry_matter_mg == b.dry_matter_mg);
      REQUIRE(a.complete == b.complete);
      // This holds for any day: figures only where something is known, and sums that add up.
      REQUIRE(a.recorded == (a.meals > 0));
      REQUIRE(a.eaten_mg.has_value() == (a.portions > a.portions_unweighed));
      if (a.complete)
        REQUIRE(*a.eaten_mg ==
                static_cast<std::int64_t>(*a.offered_mg) - static_cast<std::int64_t>(*a.left_mg));
    }
  }
}

TEST_CASE("a span ends no earlier than it begins and lasts ten years at most", "[analytics]") {
  IntakeInput input;
  input.first_day = 10;
  input.last_day = 10;
  CHECK(compute_intake(input));
  input.last_day = 9;
  CHECK(compute_intake(input).error().code == ErrorCode::kInvalid);
  input.last_day = 9 + 3660;
  CHECK(figures_of(input).days.size() == 3660);
  input.last_day = 10 + 3660;
  CHECK(compute_intake(input).error().code == ErrorCode::kInvalid);
  input.first_day = std::numeric_limits<Day>::min();
  input.last_day = std::numeric_limits<Day>::max();
  CHECK(compute_intake(input).error().code == ErrorCode::kInvalid);
  input.first_day = input.last_day;
  CHECK(figures_of(input).days.size() == 1);
}

TEST_CASE("the head count is handed through for the report", "[analytics]") {
  IntakeInput input;
  input.head_count = 40;
  CHECK(figures_of(input).head_count == 40);
}
