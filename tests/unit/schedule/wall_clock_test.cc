// schedule/wall_clock.h: slots on weekdays within a plan, with clock changes said.
#include "schedule/wall_clock.h"

#include <catch2/catch.hpp>

#include "base/iso_week.h"
#include "support/random.h"

using namespace wrackline;

namespace {

constexpr Day kSpring = 20'520;  // 2026-03-08, a Sunday: New York's clocks go forward at 02:00

ZoneOffsets new_york() {
  return ZoneOffsets::make({{(kSpring - 400) * kDayMs, -300}, {kSpring * kDayMs + 7 * kHourMs, -240}},
                           (kSpring + 400) * kDayMs)
      .value();
}

std::vector<WallClockDue> due(const WallClockPlan& plan, Day from, Day to) {
  auto result = wall_clock_due(plan, from, to, new_york());
  INFO(result.error().message);
  REQUIRE(result);
  return *result;
}

WallClockPlan plan_of(Day first_day, std::vector<std::uint32_t> slots) {
  WallClockPlan plan;
  plan.first_day = first_day;
  plan.slots_min = std::move(slots);
  return plan;
}

}  // namespace

TEST_CASE("slots are due by day and slot, once each", "[schedule]") {
  const auto all = due(plan_of(kSpring, {960, 540, 960}), kSpring - 2, kSpring + 1);
  REQUIRE(all.size() == 4);
  CHECK(all[0].day == kSpring);
  CHECK(all[0].slot_min == 540);
  CHECK(all[1].slot_min == 960);
  CHECK(all[2].day == kSpring + 1);
  CHECK(all[0].instant.at_ms == kSpring * kDayMs + 13 * kHourMs);
  CHECK(all[0].instant.utc_offset_min == -240);
}

TEST_CASE("a slot that the clocks skip is due all the same, shifted, and says so", "[schedule]") {
  const auto all = due(plan_of(kSpring - 1, {150, 210}), kSpring - 1, kSpring);
  REQUIRE(all.size() == 4);
  CHECK(all[0].instant.reading == ClockReading::kOnce);
  CHECK(all[2].instant.reading == ClockReading::kSkipped);
  CHECK(all[3].instant.reading == ClockReading::kOnce);
  // 02:30 was shifted to 03:30.
  CHECK(all[2].instant.at_ms == all[3].instant.at_ms);
}

TEST_CASE("first and last day are included, and a plan without slots has nothing due", "[schedule]") {
  WallClockPlan plan = plan_of(kSpring, {540});
  plan.last_day = kSpring + 2;
  CHECK(due(plan, kSpring - 10, kSpring + 10).size() == 3);
  CHECK(due(plan, kSpring + 2, kSpring + 2).size() == 1);
  CHECK(due(plan, kSpring + 3, kSpring + 9).empty());
  CHECK(due(plan, kSpring - 9, kSpring - 1).empty());
  plan.last_day = kSpring - 1;
  CHECK(due(plan, kSpring - 10, kSpring + 10).empty());
  CHECK(due(plan_of(kSpring, {}), kSpring, kSpring + 10).empty());
}

TEST_CASE("weekdays and every second week are kept", "[schedule]") {
  WallClockPlan plan = plan_of(kSpring - 3, {540});  // From a Thursday
  plan.weekdays = 64;                                // Sundays
  auto all = due(plan, kSpring - 10, kSpring + 21);
  REQUIRE(all.size() == 4);
  CHECK(all[0].day == kSpring);
  plan.every_weeks = 2;
  all = due(plan, kSpring - 10, kSpring + 21);
  REQUIRE(all.size() == 2);
  CHECK(all[0].day == kSpring);
  CHECK(all[1].day == kSpring + 14);
}

TEST_CASE("a plan or a span that cannot be meant is refused", "[schedule]") {
  const ZoneOffsets zone = new_york();
  const WallClockPlan plan = plan_of(kSpring, {540});
  CHECK_FALSE(wall_clock_due(plan, kSpring, kSpring - 1, zone));
  CHECK_FALSE(wall_clock_due(plan, kSpring, kSpring + 367, zone));
  CHECK(wall_clock_due(plan, kSpring, kSpring + 366, zone));
  CHECK_FALSE(wall_clock_due(plan, std::numeric_limits<Day>::min(), std::numeric_limits<Day>::max(), zone));
  CHECK_FALSE(wall_clock_due(plan_of(kSpring, {540, 1440}), kSpring, kSpring, zone));
  WallClockPlan never = plan;
  never.every_weeks = 0;
  CHECK_FALSE(wall_clock_due(never, kSpring, kSpring, zone));
  // Days whose offsets are not known here are not left out in silence.
  CHECK_FALSE(wall_clock_due(plan, kSpring + 300, kSpring + 500, zone));
  const Day last = std::numeric_limits<Day>::max();
  CHECK_FALSE(wall_clock_due(plan, last - 1, last, zone));
  CHECK(wall_clock_due(plan_of(last, {540}), last - 2, last - 1, zone).value().empty());
}

TEST_CASE("what is due over a span is what is due over its parts", "[schedule]") {
  Random random = test_random("wall clock");
  for (int i = 0; i < 300; ++i) {
    WallClockPlan plan = plan_of(kSpring - 40 + static_cast<Day>(random.below(80)), {});
    for (std::uint64_t n = random.below(4); n > 0; --n)
      plan.slots_min.push_back(static_cast<std::uint32_t>(random.below(1440)));
    plan.weekdays = static_cast<std::uint32_t>(random.below(128));
    plan.every_weeks = static_cast<std::uint32_t>(1 + random.below(4));
    if (random.once_in(2)) plan.last_day = plan.first_day + static_cast<Day>(random.below(60));
    const Day from = kSpring - 50, to = kSpring + 50;
    const Day middle = from + static_cast<Day>(random.below(100));
    const auto whole = due(plan, from, to);
    auto parts = due(plan, from, middle);
    for (const WallClockDue& one : due(plan, middle + 1, to)) parts.push_back(one);
    REQUIRE(whole.size() == parts.size());
    for (std::size_t k = 0; k < whole.size(); ++k) {
      REQUIRE(whole[k].instant.at_ms == parts[k].instant.at_ms);
      REQUIRE(is_on_weekday(whole[k].day, plan.weekdays));
      REQUIRE(whole[k].day >= plan.first_day);
      REQUIRE(whole[k].day <= plan.last_day.value_or(to));
    }
  }
}
