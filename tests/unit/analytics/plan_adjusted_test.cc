// Goal: a day is judged by what was planned for it: a planned light day is none, a day on which the animal
// left half of its plan is one, and without a plan what was eaten stands. Method: weeks with a light Sunday
// as an animal would eat them; the outlier rule is run on both series.
#include "analytics/plan_adjusted.h"

#include <catch2/catch.hpp>

#include "analytics/outliers.h"
#include "analytics/series.h"

using namespace wrackline;

namespace {

using Plan = std::vector<std::optional<std::uint64_t>>;

// Eight weeks: 2000 g a day, 1000 g on Sunday; eaten between 93 % and 99 % of it.
void weeks(WholeSeries& eaten, Plan& planned) {
  for (int day = 0; day < 56; ++day) {
    const std::int64_t plan = day % 7 == 6 ? 1'000'000 : 2'000'000;
    planned.push_back(static_cast<std::uint64_t>(plan));
    eaten.push_back(plan * (930 + day * 5 % 7 * 10) / 1000);
  }
}

Series series_of(const WholeSeries& whole) {
  Series out;
  for (const auto& value : whole)
    out.push_back(value ? std::optional<double>(static_cast<double>(*value)) : std::nullopt);
  return out;
}

}  // namespace

TEST_CASE("a planned light Sunday is no outlier against the plan, though it is one by itself",
          "[analytics]") {
  WholeSeries eaten;
  Plan planned;
  weeks(eaten, planned);
  const PlanAdjusted adjusted = adjust_to_plan(eaten, planned);
  CHECK(adjusted.usual_plan_mg == 2'000'000);
  CHECK(hampel(series_of(eaten))->outliers.size() == 8);
  CHECK(hampel(series_of(adjusted.judged_mg))->outliers.empty());
  // Half left on a Sunday shows, and half left on a Monday is seen as the same.
  eaten[20] = 500'000;
  eaten[22] = 1'000'000;
  const PlanAdjusted again = adjust_to_plan(eaten, planned);
  CHECK(again.judged_mg[20] == 1'000'000);
  CHECK(again.judged_mg[22] == 1'000'000);
  CHECK(hampel(series_of(again.judged_mg))->outliers == std::vector<std::size_t>{20, 22});
}

TEST_CASE("gaps stay gaps, a fast is one, and a day without a plan keeps what was eaten", "[analytics]") {
  const WholeSeries eaten = {900, std::nullopt, 30, 700, 450, -100};
  const PlanAdjusted adjusted = adjust_to_plan(eaten, {1'000, 1'000, 0, std::nullopt, 500, 1'000});
  CHECK(adjusted.usual_plan_mg == 1'000);
  CHECK(adjusted.judged_mg == WholeSeries{900, std::nullopt, std::nullopt, 700, 900, -100});
  const PlanAdjusted without = adjust_to_plan(eaten, Plan(6));
  CHECK_FALSE(without.usual_plan_mg);
  CHECK(without.judged_mg == eaten);
  CHECK(adjust_to_plan({}, {}).judged_mg.empty());
}
