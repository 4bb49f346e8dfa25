// schedule/recency.h: due so many days after it was last done.
#include "schedule/recency.h"

#include <catch2/catch.hpp>

using namespace wrackline;

namespace {

RecencyDue due(std::optional<Day> last_done, std::uint32_t every_days, Day today) {
  const auto result = recency_due(last_done, 20'000, every_days, today);
  INFO(result.error().message);
  REQUIRE(result);
  return *result;
}

}  // namespace

TEST_CASE("a task is due the given number of days after it was last done", "[schedule]") {
  CHECK(due(20'010, 7, 20'016).due_day == 20'017);
  CHECK(due(20'010, 7, 20'016).overdue_days == -1);
  CHECK(due(20'010, 7, 20'017).overdue_days == 0);
  CHECK(due(20'010, 7, 20'020).overdue_days == 3);
  CHECK(due(20'010, 1, 20'010).due_day == 20'011);
  CHECK(due(20'010, 7, 20'016).ever_done);
}

TEST_CASE("one that was never done is due on the first day of the plan", "[schedule]") {
  CHECK(due(std::nullopt, 7, 20'005).due_day == 20'000);
  CHECK(due(std::nullopt, 7, 20'005).overdue_days == 5);
  CHECK_FALSE(due(std::nullopt, 7, 20'005).ever_done);
  // A measure taken before the plan began counts.
  CHECK(due(19'998, 7, 20'001).due_day == 20'005);
}

TEST_CASE("days that cannot be meant are refused", "[schedule]") {
  constexpr Day kLast = std::numeric_limits<Day>::max();
  CHECK_FALSE(recency_due(20'000, 20'000, 0, 20'001));
  const auto future = recency_due(20'002, 20'000, 7, 20'001);
  REQUIRE_FALSE(future);
  CHECK_THAT(future.error().message, Catch::Contains("clock"));
  CHECK_FALSE(recency_due(kLast, 20'000, 1, kLast));
  CHECK(recency_due(kLast - 1, 20'000, 1, kLast).value().due_day == kLast);
  CHECK_FALSE(recency_due(0, 0, std::numeric_limits<std::uint32_t>::max(), 1));
}
