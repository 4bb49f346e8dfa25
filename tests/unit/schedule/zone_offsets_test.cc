// schedule/zone_offsets.h: local time there and back, gaps and doubled hours, and nothing outside the span.
#include "schedule/zone_offsets.h"

#include <catch2/catch.hpp>

#include "support/random.h"

using namespace wrackline;
using Catch::Contains;

namespace {

constexpr Day kSpring = 20'520;  // 2026-03-08
constexpr Day kAutumn = 20'758;  // 2026-11-01

// New York 2026.
std::vector<OffsetChange> changes() {
  return {{kSpring * kDayMs - 60 * kDayMs, -300},
          {kSpring * kDayMs + 7 * kHourMs, -240},
          {kAutumn * kDayMs + 6 * kHourMs, -300}};
}

ZoneOffsets zone_of(std::vector<OffsetChange> list, WallMs until_ms) {
  auto zone = ZoneOffsets::make(std::move(list), until_ms);
  INFO(zone.error().message);
  REQUIRE(zone);
  return *zone;
}

ZoneOffsets new_york() { return zone_of(changes(), (kAutumn + 60) * kDayMs); }

std::string why_not(std::vector<OffsetChange> list, WallMs until_ms) {
  const auto zone = ZoneOffsets::make(std::move(list), until_ms);
  REQUIRE_FALSE(zone);
  CHECK(zone.error().code == ErrorCode::kInvalid);
  return zone.error().message;
}

}  // namespace

TEST_CASE("every minute of a year is found again, once or as the first of two", "[schedule]") {
  const ZoneOffsets zone = new_york();
  int twice = 0, skipped = 0;
  for (Day day = kSpring - 50; day < kAutumn + 50; ++day) {
    for (std::uint32_t minute = 0; minute < 1440; minute += 10) {
      const LocalInstant instant = zone.instant(day, minute).value();
      const LocalTime back = zone.local(instant.at_ms).value();
      if (instant.utc_offset_min != back.utc_offset_min) FAIL(day << " " << minute);
      if (instant.reading == ClockReading::kSkipped) {
        ++skipped;
        CHECK(back.minute == minute + 60);
        CHECK(back.day == day);
      } else if (back.day != day || back.minute != minute) {
        FAIL(day << " " << minute);
      }
      if (instant.reading == ClockReading::kTwice) {
        ++twice;
        // An hour later the clock shows the same again.
        const LocalTime again = zone.local(instant.at_ms + kHourMs).value();
        CHECK(again.day == day);
        CHECK(again.minute == minute);
      }
    }
  }
  CHECK(skipped == 6);
  CHECK(twice == 6);
}

TEST_CASE("time goes on in local time as in the world, whatever the offsets", "[schedule]") {
  Random random = test_random("zone offsets");
  for (int round = 0; round < 300; ++round) {
    std::vector<OffsetChange> list;
    // Clocks change on whole minutes; within the minute of any other change, the minute alone names no instant.
    const auto some_minutes = [&random] { return random.below(100 * kDayMs / kMinuteMs) * kMinuteMs; };
    WallMs from_ms = some_minutes();
    for (std::uint64_t n = 1 + random.below(4); n > 0; --n) {
      list.push_back({from_ms, static_cast<std::int32_t>(random.below(1681)) - 840});
      from_ms += ZoneOffsets::kChangeApartMs + some_minutes();
    }
    const WallMs begin_ms = list.front().from_ms;
    const ZoneOffsets zone = zone_of(list, from_ms);
    for (int i = 0; i < 50; ++i) {
      const WallMs at_ms = begin_ms + random.below(from_ms - begin_ms);
      const LocalTime local = zone.local(at_ms).value();
      const LocalInstant instant = zone.instant(local.day, local.minute).value();
      // It may be the second of two; then the first is earlier by the step back.
      REQUIRE(instant.reading != ClockReading::kSkipped);
      REQUIRE(instant.at_ms <= at_ms);
      if (instant.reading == ClockReading::kOnce) {
        REQUIRE(at_ms - instant.at_ms < kMinuteMs);
        REQUIRE(instant.utc_offset_min == local.utc_offset_min);
      }
      // Any other minute is found, or lies outside the span; what is found lies within it.
      const auto any = zone.instant(local.day, static_cast<std::uint32_t>(random.below(1440)));
      if (any) REQUIRE(zone.local(any->at_ms).value().utc_offset_min == any->utc_offset_min);
    }
  }
}

TEST_CASE("a day that was skipped whole is shifted to the next", "[schedule]") {
  // The offset jumps as it did when the date line moved: from -10:00 to +14:00 at the end of a day.
  const WallMs at_ms = 15'338 * kDayMs + 10 * kHourMs;
  const ZoneOffsets zone = zone_of({{at_ms - 30 * kDayMs, -600}, {at_ms, 840}}, at_ms + 30 * kDayMs);
  CHECK(zone.local(at_ms - 1).value().day == 15'337);
  CHECK(zone.local(at_ms).value().day == 15'339);
  const LocalInstant noon = zone.instant(15'338, 720).value();
  CHECK(noon.reading == ClockReading::kSkipped);
  CHECK(zone.local(noon.at_ms).value().day == 15'339);
  CHECK(zone.local(noon.at_ms).value().minute == 720);
}

TEST_CASE("before 1970 in local time is the day before", "[schedule]") {
  const ZoneOffsets zone = zone_of({{0, -300}}, kDayMs);
  CHECK(zone.local(0).value().day == -1);
  CHECK(zone.local(0).value().minute == 19 * 60);
  CHECK(zone.instant(-1, 19 * 60).value().at_ms == 0);
  CHECK_FALSE(zone.instant(-1, 19 * 60 - 1));
}

TEST_CASE("outside the span nothing is guessed", "[schedule]") {
  const ZoneOffsets zone = new_york();
  const WallMs first_ms = changes().front().from_ms, until_ms = (kAutumn + 60) * kDayMs;
  CHECK(zone.local(first_ms));
  CHECK(zone.local(until_ms - 1));
  for (const auto& outside : {zone.local(first_ms - 1), zone.local(until_ms), zone.local(~0ull)}) {
    REQUIRE_FALSE(outside);
    CHECK_THAT(outside.error().message, Contains("outside the span"));
  }
  for (const Day day :
       {kSpring - 62, kAutumn + 61, std::numeric_limits<Day>::min(), std::numeric_limits<Day>::max()})
    CHECK_FALSE(zone.instant(day, 720));
  CHECK_FALSE(zone.instant(kSpring, 1440));
  CHECK(zone.instant(kSpring, 1439));
}

TEST_CASE("offsets that cannot be true are refused", "[schedule]") {
  CHECK_THAT(why_not({}, kDayMs), Contains("no UTC offset"));
  CHECK_THAT(why_not({{kDayMs, 0}}, kDayMs), Contains("order of time"));
  CHECK_THAT(why_not({{kDayMs, 0}}, 0), Contains("order of time"));
  CHECK_THAT(why_not({{10 * kDayMs, 0}, {kDayMs, 60}}, 20 * kDayMs), Contains("order of time"));
  CHECK_THAT(why_not({{kDayMs, 0}, {kDayMs, 60}}, 20 * kDayMs), Contains("order of time"));
  CHECK_THAT(why_not({{0, 841}}, kDayMs), Contains("14 hours"));
  CHECK_THAT(why_not({{0, -841}}, kDayMs), Contains("14 hours"));
  CHECK_THAT(why_not({{0, std::numeric_limits<std::int32_t>::min()}}, kDayMs), Contains("14 hours"));
  CHECK_THAT(why_not({{0, 0}, {9 * kDayMs, 60}, {10 * kDayMs, 0}}, 20 * kDayMs), Contains("two days apart"));
  CHECK_THAT(why_not({{0, 0}}, ~0ull), Contains("9999"));
  CHECK_THAT(why_not({{0, 0}, {9 * kDayMs + 1, 60}}, 20 * kDayMs), Contains("whole minute"));
  // The span may begin or end close to a change, and begin within a minute; that minute began outside it.
  const ZoneOffsets within = zone_of({{1, 0}}, kDayMs);
  CHECK(within.local(1).value().minute == 0);
  CHECK_FALSE(within.instant(0, 0));
  CHECK(within.instant(0, 1));
  CHECK(ZoneOffsets::make({{0, 0}, {kHourMs, 60}}, 2 * kHourMs));
}
