// schedule/round_state.h: each row of its table, at the instants where one row ends and the next begins.
#include "schedule/round_state.h"

#include <catch2/catch.hpp>

#include "support/random.h"

using namespace wrackline;

namespace {

constexpr WallMs kMinute = 60'000, kHour = 60 * kMinute;
constexpr WallMs kDue = 1'772'978'400'000;
constexpr WallMs kOpens = kDue - 30 * kMinute, kCloses = kDue + 60 * kMinute, kEnds = kDue + 4 * kHour;

const DueThing kThing{kDue, 30, 60, kEnds, false};

RoundState state(WallMs now_ms, std::optional<WallMs> knowledge_ms) {
  return round_standing(kThing, knowledge_ms, now_ms).state;
}

}  // namespace

TEST_CASE("with full knowledge a thing is upcoming, due, late and missed in turn", "[schedule]") {
  CHECK(state(0, 0) == RoundState::kUpcoming);
  CHECK(state(kOpens - 1, kOpens - 1) == RoundState::kUpcoming);
  CHECK(state(kOpens, kOpens) == RoundState::kDue);
  CHECK(state(kDue, kDue) == RoundState::kDue);
  CHECK(state(kCloses, kCloses) == RoundState::kDue);
  CHECK(state(kCloses + 1, kCloses + 1) == RoundState::kLate);
  CHECK(state(kEnds - 1, kEnds - 1) == RoundState::kLate);
  CHECK(state(kEnds, kEnds) == RoundState::kMissed);
  CHECK(state(~0ull, ~0ull) == RoundState::kMissed);
}

TEST_CASE("what is recorded here is done, early or late, known or not", "[schedule]") {
  DueThing done = kThing;
  done.recorded = true;
  for (const WallMs now_ms : {kOpens - 1, kDue, kCloses + 1, kEnds + 1}) {
    CHECK(round_standing(done, std::nullopt, now_ms).state == RoundState::kDone);
    CHECK_FALSE(round_standing(done, std::nullopt, now_ms).may_be_done_elsewhere);
  }
}

TEST_CASE("late and missed are not said of what others may have done unseen", "[schedule]") {
  for (const WallMs now_ms : {kCloses + 1, kEnds - 1, kEnds, kEnds + kHour}) {
    CHECK(state(now_ms, std::nullopt) == RoundState::kNotKnownHere);
    CHECK(state(now_ms, kDue - 1) == RoundState::kNotKnownHere);
  }
  CHECK(state(kCloses + 1, kDue) == RoundState::kLate);
  CHECK(state(kEnds, kDue) == RoundState::kMissed);
}

TEST_CASE("in its window a thing is due out of reach too, and says that it may be done elsewhere",
          "[schedule]") {
  for (const WallMs now_ms : {kOpens, kDue, kCloses}) {
    CHECK(state(now_ms, std::nullopt) == RoundState::kDue);
    CHECK(round_standing(kThing, std::nullopt, now_ms).may_be_done_elsewhere);
    CHECK(round_standing(kThing, kOpens - 1, now_ms).may_be_done_elsewhere);
    CHECK_FALSE(round_standing(kThing, kOpens, now_ms).may_be_done_elsewhere);
  }
  CHECK_FALSE(round_standing(kThing, std::nullopt, kOpens - 1).may_be_done_elsewhere);
}

TEST_CASE("a window that ends with the next one is missed at once, and huge numbers wrap nothing",
          "[schedule]") {
  const DueThing tight{kDue, 0, 0, kDue + 1, false};
  CHECK(round_standing(tight, kDue, kDue).state == RoundState::kDue);
  CHECK(round_standing(tight, kDue, kDue + 1).state == RoundState::kMissed);
  constexpr std::uint32_t kWide = std::numeric_limits<std::uint32_t>::max();
  CHECK(round_standing({0, kWide, kWide, 0, false}, 0, 0).state == RoundState::kDue);
  CHECK(round_standing({~0ull, 0, kWide, ~0ull, false}, 0, kDue).state == RoundState::kUpcoming);
  CHECK(round_standing({~0ull, 0, kWide, ~0ull, false}, 0, ~0ull).state == RoundState::kDue);
}

TEST_CASE("a thing never goes back to an earlier state as time goes on", "[schedule]") {
  Random random = test_random("round state");
  const auto rank = [](RoundState s) {
    switch (s) {
      case RoundState::kUpcoming:
        return 0;
      case RoundState::kDue:
        return 1;
      case RoundState::kLate:
      case RoundState::kNotKnownHere:
        return 2;
      default:
        return 3;
    }
  };
  for (int i = 0; i < 500; ++i) {
    const DueThing thing{kDue, static_cast<std::uint32_t>(random.below(120)),
                         static_cast<std::uint32_t>(random.below(120)), kDue + random.below(10 * kHour),
                         false};
    const std::optional<WallMs> knowledge_ms =
        random.once_in(4) ? std::nullopt : std::optional<WallMs>(kDue - 5 * kHour + random.below(10 * kHour));
    int before = 0;
    for (WallMs now_ms = kDue - 5 * kHour; now_ms < kDue + 12 * kHour; now_ms += 1 + random.below(kHour)) {
      const int now = rank(round_standing(thing, knowledge_ms, now_ms).state);
      REQUIRE(now >= before);
      before = now;
    }
  }
}
