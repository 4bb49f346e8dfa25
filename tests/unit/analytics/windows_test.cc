// analytics/windows.h and ration.h: gaps count for nothing, sums are exact, each answer is rounded once.
#include "analytics/windows.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <limits>

#include "analytics/descriptive.h"
#include "analytics/ration.h"
#include "support/random.h"

using namespace wrackline;

namespace {

constexpr std::nullopt_t kGap = std::nullopt;
constexpr std::int64_t kLargest = std::numeric_limits<std::int64_t>::max();
constexpr std::int64_t kSmallest = std::numeric_limits<std::int64_t>::min();

WholeSeries random_days(Random& random, std::size_t count) {
  WholeSeries out;
  for (std::size_t i = 0; i < count; ++i) {
    out.push_back(random.once_in(4)
                      ? std::optional<std::int64_t>()
                      : std::optional<std::int64_t>(static_cast<std::int64_t>(random.below(1000)) - 100));
  }
  return out;
}

}  // namespace

TEST_CASE("a trailing mean is over the days that have a figure and says how many", "[analytics]") {
  const std::vector<WindowMean> means = trailing_means({kGap, 10, kGap, 20, 40, kGap, kGap, kGap}, 3);
  REQUIRE(means.size() == 8);
  CHECK_FALSE(means[0].mean);
  CHECK(means[0].days_counted == 0);
  CHECK(means[1].mean == 10);
  CHECK(means[1].days_counted == 1);
  CHECK(means[2].mean == 10);
  CHECK(means[3].mean == 15);  // Not 10: the day between is a gap, not a zero.
  CHECK(means[3].days_counted == 2);
  CHECK(means[4].mean == 30);
  CHECK(means[6].mean == 40);
  CHECK(means[6].days_counted == 1);
  CHECK_FALSE(means[7].mean);
  CHECK(means[7].days_counted == 0);
}

TEST_CASE("a zero is a figure", "[analytics]") {
  const std::vector<WindowMean> means = trailing_means({0, 0, 9}, 7);
  CHECK(means[1].mean == 0);
  CHECK(means[2].mean == 3);
  CHECK(means[2].days_counted == 3);
}

TEST_CASE("every trailing mean is that of its own window, counted anew", "[analytics]") {
  Random random = test_random("trailing windows");
  for (std::uint32_t window : {1u, 7u, 28u, 500u}) {
    const WholeSeries days = random_days(random, 120);
    const std::vector<WindowMean> means = trailing_means(days, window);
    for (std::size_t last = 0; last < days.size(); ++last) {
      double sum = 0;
      std::uint32_t counted = 0;
      for (std::size_t i = last + 1 > window ? last + 1 - window : 0; i <= last; ++i) {
        if (!days[i]) continue;
        sum += static_cast<double>(*days[i]);
        ++counted;
      }
      CHECK(means[last].days_counted == counted);
      REQUIRE(means[last].mean.has_value() == (counted > 0));
      if (counted > 0) CHECK(*means[last].mean == std::llround(sum / counted));
    }
  }
}

TEST_CASE("sums of the largest figures are exact", "[analytics]") {
  CHECK(trailing_means({kLargest, kLargest, kLargest}, 3)[2].mean == kLargest);
  CHECK(trailing_means({kSmallest, kSmallest, kLargest}, 3)[1].mean == kSmallest);
  CHECK(weekday_pattern(0, {kLargest, kGap, kGap, kGap, kGap, kGap, kGap, kLargest})[3].median == kLargest);
}

TEST_CASE("means round halves away from zero, up and down alike", "[analytics]") {
  CHECK(trailing_means({1, 2}, 2)[1].mean == 2);
  CHECK(trailing_means({-1, -2}, 2)[1].mean == -2);
}

TEST_CASE("the weekday pattern puts each figure to its day and leaves out gaps", "[analytics]") {
  // From a Saturday on, two weeks and a day.
  const WeekdayPattern pattern =
      weekday_pattern(12784, {20, 1, kGap, 3, 4, 5, 6, 90, kGap, kGap, 9, 4, 5, 6, 10});
  CHECK(pattern[5].days_counted == 3);
  CHECK(pattern[5].mean == 40);
  CHECK(pattern[5].median == 20);
  CHECK(pattern[6].days_counted == 1);
  CHECK(pattern[6].mean == 1);
  CHECK(pattern[0].days_counted == 0);
  CHECK_FALSE(pattern[0].mean);
  CHECK_FALSE(pattern[0].median);
  CHECK(pattern[1].mean == 6);
  CHECK(pattern[1].median == 6);
}

TEST_CASE("a day is on plan up to the edge of the tolerance", "[analytics]") {
  const WholeSeries planned(5, 1000);
  const PlanAdherence adherence = plan_adherence({950, 1050, 949, 1051, 1000}, planned, 50'000);
  CHECK(adherence.days_compared == 5);
  CHECK(adherence.days_within == 3);
  CHECK(adherence.days_under == 1);
  CHECK(adherence.days_over == 1);
  CHECK(adherence.within_ppm == 600'000);
}

TEST_CASE("a day that was not recorded, or had no plan, is neither on plan nor off it", "[analytics]") {
  const PlanAdherence adherence = plan_adherence({kGap, 500, 500, 500}, {500, kGap, 500, -1}, 0);
  CHECK(adherence.days_compared == 1);
  CHECK(adherence.days_within == 1);
  CHECK(adherence.within_ppm == 1'000'000);
  CHECK_FALSE(plan_adherence({kGap}, {500}, 0).within_ppm);
  CHECK(plan_adherence({1, 2, 3}, {1}, 0).days_compared == 1);
}

TEST_CASE("a fasting day is kept by eating nothing", "[analytics]") {
  const PlanAdherence adherence = plan_adherence({0, 20}, {0, 0}, 100'000);
  CHECK(adherence.days_within == 1);
  CHECK(adherence.days_over == 1);
}

TEST_CASE("adherence is exact for the largest figures", "[analytics]") {
  CHECK(plan_adherence({kSmallest}, {kLargest}, 4'000'000'000u).days_within == 1);
  CHECK(plan_adherence({kSmallest}, {kLargest}, 2'000'000u).days_under == 1);
}

TEST_CASE("a suggested ration is the median at the scale's step, with quartiles, count and span",
          "[analytics]") {
  const SuggestedRation ration =
      *suggest_ration(100, {kGap, 1'012'000, 996'000, kGap, 1'043'000, 20'000, 1'031'000, kGap}, 5'000);
  CHECK(ration.ration_mg == 1'010'000);
  CHECK(ration.lower_quartile_mg == 995'000);
  CHECK(ration.upper_quartile_mg == 1'030'000);
  CHECK(ration.spread_mg() == 35'000);
  CHECK(ration.days_counted == 5);
  CHECK(ration.first_day == 101);
  CHECK(ration.last_day == 106);
}

TEST_CASE("a ration is rounded once, from the exact median", "[analytics]") {
  CHECK(suggest_ration(0, {12}, 5)->ration_mg == 10);
  CHECK(suggest_ration(0, {13}, 5)->ration_mg == 15);
  // The median is 3.5 steps of 7: up. Cut to 24 mg on the way it would have gone down.
  CHECK(suggest_ration(0, {24, 25}, 7)->ration_mg == 28);
  // The lower quartile is 2.25: under half a step of 5. Rounded up to 3 on the way it would be over it.
  CHECK(suggest_ration(0, {0, 9}, 5)->lower_quartile_mg == 0);
  CHECK(suggest_ration(0, {0, 9}, 1)->lower_quartile_mg == 2);
  CHECK(suggest_ration(0, {0, 9}, 1)->upper_quartile_mg == 7);
}

TEST_CASE("no ration is suggested from nothing, to no step, or from weighings that cannot be",
          "[analytics]") {
  CHECK_FALSE(suggest_ration(0, {}, 5));
  CHECK_FALSE(suggest_ration(0, {kGap, kGap}, 5));
  CHECK_FALSE(suggest_ration(0, {10}, 0));
  CHECK_FALSE(suggest_ration(0, {10}, -5));
  CHECK_FALSE(suggest_ration(0, {-10, -20, 30}, 5));
  CHECK(suggest_ration(0, {0}, 5)->ration_mg == 0);
  // The nearest step above the largest figure does not fit.
  CHECK_FALSE(suggest_ration(0, {kLargest}, 1000));
  CHECK(suggest_ration(0, {kLargest}, 1)->ration_mg == kLargest);
}

TEST_CASE("one day of refusal hardly moves a ration", "[analytics]") {
  WholeSeries days(13, 1'000'000);
  const std::int64_t before = suggest_ration(0, days, 5'000)->ration_mg;
  days.push_back(0);
  CHECK(suggest_ration(0, days, 5'000)->ration_mg == before);
}

TEST_CASE("whole-numbered quartiles are those of descriptive.h", "[analytics]") {
  Random random = test_random("quartiles");
  for (int round = 0; round < 100; ++round) {
    WholeSeries days;
    std::vector<double> values;
    const std::size_t count = 1 + random.below(30);
    for (std::size_t i = 0; i < count; ++i) {
      // Multiples of 4: the quartiles are whole, and rounding hides no difference.
      days.push_back(static_cast<std::int64_t>(random.below(500)) * 4);
      values.push_back(static_cast<double>(*days.back()));
    }
    const SuggestedRation ration = *suggest_ration(0, days, 1);
    CHECK(static_cast<double>(ration.lower_quartile_mg) == *quantile(values, 0.25));
    CHECK(static_cast<double>(ration.ration_mg) == *quantile(values, 0.5));
    CHECK(static_cast<double>(ration.upper_quartile_mg) == *quantile(values, 0.75));
  }
}
