// Goal: an instant gets the facility's husbandry day and offset, and a clock reading gets the one instant it
// means, or a question. Method: RFC 3339 section 5.8 and the 2026 changes of New York, whose instants are
// known (05:30Z is the first 01:30 of 1 November; 02:30 of 8 March does not exist).
#include "text/local_time.h"

#include <catch2/catch.hpp>

namespace wrackline::text {
namespace {

using Catch::Contains;

Zone zone(const char* name) {
  auto found = Zone::find(name);
  REQUIRE(found);
  return *found;
}

constexpr WallMs kNoon = 1'795'521'600'000;  // 2026-11-24T12:00:00Z

WallMs parsed(const Zone& z, const char* text) {
  auto value = z.parse(text, kNoon);
  INFO(text << ": " << value.error().message);
  REQUIRE(value);
  return *value;
}

TEST_CASE("an event's day and offset are those of the facility", "[time]") {
  const Zone oslo = zone("Europe/Oslo");
  const When noon = oslo.when(kNoon);
  CHECK(print_day(noon.day) == "2026-11-24");
  CHECK(noon.utc_offset_min == 60);
  CHECK(print_day(oslo.when(kNoon + 11 * 3'600'000).day) == "2026-11-25");  // 23:00Z is past midnight there.
  CHECK(print_day(zone("Pacific/Auckland").when(kNoon).day) == "2026-11-25");
  CHECK(zone("Asia/Kolkata").when(kNoon).utc_offset_min == 330);
}

TEST_CASE("a clock reading is of today, of yesterday, or of the day written", "[time]") {
  const Zone oslo = zone("Europe/Oslo");
  CHECK(parsed(oslo, "13:00") == kNoon);
  CHECK(parsed(oslo, "2026-11-24 13:00") == kNoon);
  CHECK(parsed(oslo, "2026-11-24T13:00:00") == kNoon);
  CHECK(parsed(oslo, "yesterday 13:00") == kNoon - 86'400'000);
  CHECK(parsed(oslo, "2026-11-24T12:00Z") == kNoon);
  CHECK(parsed(oslo, "2026-11-24T07:00:00-05:00") == kNoon);
  CHECK(oslo.print(kNoon) == "2026-11-24 13:00");
  CHECK(oslo.print_exact(kNoon + 7'250) == "2026-11-24T13:00:07.250+01:00");
}

TEST_CASE("RFC 3339 section 5.8", "[time]") {
  const Zone utc = zone("Etc/UTC");
  CHECK(parsed(utc, "1985-04-12T23:20:50.52Z") == 482'196'050'520);
  CHECK(parsed(utc, "1996-12-19T16:39:57-08:00") == parsed(utc, "1996-12-20T00:39:57Z"));
  CHECK(parsed(utc, "1990-12-31T23:59:60Z") == parsed(utc, "1991-01-01T00:00:00Z"));
}

TEST_CASE("a reading the clocks skip is refused", "[time]") {
  const Zone york = zone("America/New_York");
  auto skipped = york.parse("2026-03-08 02:30", kNoon);
  REQUIRE_FALSE(skipped);
  CHECK_THAT(skipped.error().message, Contains("there was no 2026-03-08 02:30"));
  CHECK(parsed(york, "2026-03-08 09:00") == parsed(york, "2026-03-08T13:00Z"));
  CHECK(parsed(york, "2026-03-07 09:00") == parsed(york, "2026-03-07T14:00Z"));
}

TEST_CASE("a reading the clocks have twice is asked about, and can be chosen", "[time]") {
  const Zone york = zone("America/New_York");
  auto twice = york.parse("2026-11-01 01:30", kNoon);
  REQUIRE_FALSE(twice);
  CHECK_THAT(twice.error().message, Contains("2026-11-01T01:30-04:00 for the first"));
  CHECK_THAT(twice.error().message, Contains("2026-11-01T01:30-05:00 for the second"));
  CHECK(parsed(york, "2026-11-01T01:30-04:00") == parsed(york, "2026-11-01T05:30Z"));
}

TEST_CASE("what is no time is refused", "[time]") {
  const Zone utc = zone("Etc/UTC");
  for (const char* text : {"", "8", "24:00", "08:60", "2026-11-24", "2026-13-01 08:00", "2026-11-24 08:00 pm",
                           "08:30+1", "2026-11-24T08:30+25:00", "08:30:61"}) {
    INFO(text);
    CHECK_FALSE(utc.parse(text, kNoon));
  }
  CHECK_FALSE(Zone::find("Nowhere/Here"));
}

TEST_CASE("ages are said in one or two words", "[time]") {
  CHECK(print_age(kNoon, kNoon + 1'000) == "1 second ago");
  CHECK(print_age(kNoon, kNoon + 600'000) == "10 minutes ago");
  CHECK(print_age(kNoon, kNoon + 3 * 3'600'000 + 300'000) == "3 h 5 min ago");
  CHECK(print_age(kNoon, kNoon + 4 * 86'400'000ull) == "4 days ago");
  CHECK(print_age(kNoon + 1, kNoon) == "in the future by this device's clock");
}

TEST_CASE("the offsets of a span of days are those in force on them, in order", "[time]") {
  const Day march_8 = *parse_day("2026-03-08");  // New York: 2 o'clock is skipped, 7:00Z.
  const Zone york = zone("America/New_York");
  const auto over_change = york.offsets(march_8, march_8);
  REQUIRE(over_change.size() == 2);
  CHECK(over_change[0].utc_offset_min == -300);
  CHECK(over_change[0].from_ms < std::int64_t{march_8 - 1} * 86'400'000);
  CHECK(over_change[1].utc_offset_min == -240);
  CHECK(over_change[1].from_ms == 1'772'953'200'000);  // 2026-03-08T07:00:00Z
  // The same holds on the days on either side, and never soon after the first.
  for (Day day : {march_8 - 1, march_8 + 1}) {
    const auto beside = york.offsets(day, day);
    REQUIRE(beside.size() == 2);
    CHECK(beside[1].from_ms == 1'772'953'200'000);
    CHECK(beside[1].from_ms - beside[0].from_ms > 48 * 3'600'000);
  }
  CHECK(york.offsets(march_8 + 10, march_8 + 20).size() == 1);
  CHECK(york.offsets(march_8, march_8 + 372).size() == 4);  // 1 November, and 14 March 2027.
  CHECK(zone("Etc/UTC").offsets(march_8, march_8).size() == 1);
}

TEST_CASE("weekdays count from Monday", "[time]") {
  CHECK(weekday_of(*parse_day("2026-11-23")) == 0);
  CHECK(weekday_of(*parse_day("2026-11-29")) == 6);
}

}  // namespace
}  // namespace wrackline::text
