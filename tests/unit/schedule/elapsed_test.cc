// schedule/elapsed.h: hours are counted from what was really done.
#include "schedule/elapsed.h"

#include <catch2/catch.hpp>

#include "support/random.h"

using namespace wrackline;

namespace {

constexpr WallMs kHour = 3'600'000;
constexpr WallMs kStart = 1'772'892'000'000;  // Any instant will do.

ElapsedPlan every_12_hours(CountFrom count_from = CountFrom::kLastDone) {
  ElapsedPlan plan;
  plan.start_ms = kStart;
  plan.interval_min = 720;
  plan.count_from = count_from;
  return plan;
}

using Instants = std::vector<WallMs>;

Instants due(const ElapsedPlan& plan, const Instants& done, WallMs from_ms, WallMs to_ms) {
  auto result = elapsed_due(plan, done, from_ms, to_ms);
  INFO(result.error().message);
  REQUIRE(result);
  return *result;
}

}  // namespace

TEST_CASE("until one was done the start counts", "[schedule]") {
  CHECK(due(every_12_hours(), {}, kStart, kStart + 24 * kHour) == Instants{kStart, kStart + 12 * kHour});
  CHECK(due(every_12_hours(), {}, kStart + 1, kStart + 24 * kHour + 1) ==
        Instants{kStart + 12 * kHour, kStart + 24 * kHour});
  CHECK(due(every_12_hours(), {}, 0, kStart).empty());
}

TEST_CASE("one done late moves those after it, unless the first counts", "[schedule]") {
  const Instants done{kStart + 13 * kHour, kStart + 1 * kHour};  // An hour late, and then due at 13 h
  const Instants late{kStart + 1 * kHour, kStart + 15 * kHour};  // Two hours late again
  const WallMs from_ms = kStart + 14 * kHour, to_ms = kStart + 40 * kHour;
  CHECK(due(every_12_hours(), done, from_ms, to_ms) == Instants{kStart + 25 * kHour, kStart + 37 * kHour});
  CHECK(due(every_12_hours(), late, from_ms, to_ms) == Instants{kStart + 27 * kHour, kStart + 39 * kHour});
  CHECK(due(every_12_hours(CountFrom::kFirstDone), late, from_ms, to_ms) ==
        Instants{kStart + 25 * kHour, kStart + 37 * kHour});
}

TEST_CASE("nothing is due after the end, and at the end it is", "[schedule]") {
  ElapsedPlan plan = every_12_hours();
  plan.last_ms = kStart + 12 * kHour;
  CHECK(due(plan, {}, 0, kStart + 100 * kHour) == Instants{kStart, kStart + 12 * kHour});
  plan.last_ms = kStart + 12 * kHour - 1;
  CHECK(due(plan, {}, 0, kStart + 100 * kHour) == Instants{kStart});
  plan.last_ms = kStart - 1;
  CHECK(due(plan, {}, 0, kStart + 100 * kHour).empty());
}

TEST_CASE("an elapsed plan or span that cannot be meant is refused", "[schedule]") {
  ElapsedPlan never = every_12_hours();
  never.interval_min = 0;
  CHECK_FALSE(elapsed_due(never, {}, kStart, kStart + kHour));
  CHECK_FALSE(elapsed_due(every_12_hours(), {}, kStart, kStart - 1));
  CHECK_FALSE(elapsed_due(every_12_hours(), {~0ull}, kStart, kStart + kHour));
  ElapsedPlan each_minute = every_12_hours();
  each_minute.interval_min = 1;
  CHECK(due(each_minute, {}, kStart, kStart + kElapsedDueMax * 60'000).size() == kElapsedDueMax);
  CHECK_FALSE(elapsed_due(each_minute, {}, kStart, kStart + kElapsedDueMax * 60'000 + 1));
  CHECK_FALSE(elapsed_due(each_minute, {}, 0, ~0ull));
}

TEST_CASE("the largest numbers give an answer and no endless count", "[schedule]") {
  ElapsedPlan rare = every_12_hours();
  rare.interval_min = std::numeric_limits<std::uint32_t>::max();
  CHECK(due(rare, {}, 0, ~0ull).size() < 2);
  CHECK(due(rare, {kStart}, ~0ull - 1, ~0ull).empty());
  ElapsedPlan far = every_12_hours();
  far.start_ms = ~0ull;
  CHECK(due(far, {}, 0, ~0ull).empty());
  far.last_ms = ~0ull;
  CHECK(due(far, {}, ~0ull, ~0ull).empty());
}

TEST_CASE("due instants are whole intervals from what counts, and complete", "[schedule]") {
  Random random = test_random("elapsed");
  for (int i = 0; i < 2000; ++i) {
    ElapsedPlan plan = every_12_hours(random.once_in(2) ? CountFrom::kFirstDone : CountFrom::kLastDone);
    plan.interval_min = static_cast<std::uint32_t>(1 + random.below(3000));
    Instants done;
    for (std::uint64_t n = random.below(4); n > 0; --n) done.push_back(kStart + random.below(100 * kHour));
    const WallMs from_ms = kStart + random.below(200 * kHour);
    const WallMs to_ms = from_ms + random.below(20 * kHour);
    const Instants all = due(plan, done, from_ms, to_ms);
    const WallMs interval_ms = plan.interval_min * 60'000ull;
    WallMs expected = plan.start_ms;
    if (!done.empty()) {
      expected = done[0];
      for (const WallMs one : done)
        expected =
            plan.count_from == CountFrom::kFirstDone ? std::min(expected, one) : std::max(expected, one);
      expected += interval_ms;
    }
    Instants counted;
    for (; expected < to_ms; expected += interval_ms)
      if (expected >= from_ms) counted.push_back(expected);
    REQUIRE(all == counted);
  }
}
