// schedule/thaw.h: which clock decides, until when, and what cannot be judged.
#include "schedule/thaw.h"

#include <catch2/catch.hpp>

using namespace wrackline;
using Catch::Contains;

namespace {

constexpr WallMs kHour = 3'600'000;
constexpr WallMs kOut = 1'772'892'000'000, kThawed = kOut + 18 * kHour;

ThawStanding standing(const ThawBatch& batch, WallMs now_ms, const ThawLimits& limits = {}) {
  const auto result = thaw_standing(batch, limits, now_ms);
  INFO(result.error().message);
  REQUIRE(result);
  return *result;
}

std::string why_not(const ThawBatch& batch, WallMs now_ms, const ThawLimits& limits = {}) {
  const auto result = thaw_standing(batch, limits, now_ms);
  REQUIRE_FALSE(result);
  CHECK(result.error().code == ErrorCode::kInvalid);
  return result.error().message;
}

}  // namespace

TEST_CASE("a batch in water goes by its time out of the freezer, whenever it was thawed", "[schedule]") {
  const ThawStanding in_water = standing({ThawMethod::kColdWater, kOut, kThawed}, kThawed);
  CHECK(in_water.clock == ThawClock::kSinceFreezer);
  CHECK(in_water.usable_until_ms == kOut + 24 * kHour);
  CHECK(in_water.state == ThawState::kUsable);
  CHECK(standing({ThawMethod::kColdWater, kOut, {}}, kOut).usable_until_ms == kOut + 24 * kHour);
}

TEST_CASE("a batch under refrigeration goes by when it was thawed", "[schedule]") {
  const ThawStanding chilled = standing({ThawMethod::kRefrigeration, kOut, kThawed}, kThawed + 24 * kHour);
  CHECK(chilled.clock == ThawClock::kSinceThawed);
  CHECK(chilled.usable_until_ms == kThawed + 24 * kHour);
  CHECK(chilled.state == ThawState::kUsable);
  CHECK(standing({ThawMethod::kRefrigeration, kOut, kThawed}, kThawed + 24 * kHour + 1).state ==
        ThawState::kPastLimit);
}

TEST_CASE("under refrigeration and not yet thawed, there is no until", "[schedule]") {
  const ThawStanding frozen = standing({ThawMethod::kRefrigeration, kOut, {}}, kOut + 30 * kHour);
  CHECK(frozen.state == ThawState::kNotRunning);
  CHECK(frozen.clock == ThawClock::kSinceThawed);
  CHECK_FALSE(frozen.usable_until_ms);
}

TEST_CASE("a site's own limits take the place of the defaults, each for its clock", "[schedule]") {
  const ThawLimits strict{12 * 60, 6 * 60, "site rule"};
  CHECK(standing({ThawMethod::kColdWater, kOut, {}}, kOut, strict).usable_until_ms == kOut + 12 * kHour);
  CHECK(standing({ThawMethod::kRefrigeration, kOut, kThawed}, kThawed, strict).usable_until_ms ==
        kThawed + 6 * kHour);
  CHECK(ThawLimits{}.source == "9 CFR 3.105");
}

TEST_CASE("times that contradict each other are refused", "[schedule]") {
  CHECK_THAT(why_not({ThawMethod::kColdWater, kOut, {}}, kOut - 1), Contains("later than now"));
  CHECK_THAT(why_not({ThawMethod::kRefrigeration, kOut, kThawed}, kThawed - 1), Contains("later than now"));
  CHECK_THAT(why_not({ThawMethod::kColdWater, kOut, kOut - 1}, kThawed),
             Contains("before it left the freezer"));
  CHECK_THAT(why_not({ThawMethod::kColdWater, kOut, {}}, kThawed, {0, 60, ""}), Contains("limit of 0"));
  CHECK_THAT(why_not({ThawMethod::kColdWater, kOut, {}}, kThawed, {60, 0, ""}), Contains("limit of 0"));
}
