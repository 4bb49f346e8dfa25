// Dates, clock changes and recurrence against ISO 8601, RFC 5545 and the time-zone data.
//
// Offsets of America/New_York are of the IANA time-zone data; instants were computed with Python's zoneinfo.
#include <catch2/catch.hpp>

#include "base/iso_week.h"
#include "schedule/elapsed.h"
#include "schedule/thaw.h"
#include "schedule/wall_clock.h"

using namespace wrackline;

namespace {

constexpr std::uint32_t kMonday = 1, kTuesday = 2, kWednesday = 4, kThursday = 8, kFriday = 16, kSunday = 64;

Day day(std::int32_t year, std::uint32_t month, std::uint32_t day_of_month) {
  return day_of({year, month, day_of_month}).value();
}

// An instant in UTC.
WallMs utc(std::int32_t year, std::uint32_t month, std::uint32_t day_of_month, std::uint32_t hour,
           std::uint32_t minute = 0) {
  return static_cast<WallMs>(day(year, month, day_of_month)) * 24 * kHourMs + hour * kHourMs +
         minute * 60'000;
}

// EST until 2026-03-08T07:00Z, EDT until 2026-11-01T06:00Z, EST again.
ZoneOffsets new_york_2026() {
  return ZoneOffsets::make(
             {{utc(2025, 12, 1, 0), -300}, {utc(2026, 3, 8, 7), -240}, {utc(2026, 11, 1, 6), -300}},
             utc(2027, 1, 31, 0))
      .value();
}

// EDT until 1997-10-26T06:00Z.
ZoneOffsets new_york_1997() {
  return ZoneOffsets::make({{utc(1997, 7, 1, 0), -240}, {utc(1997, 10, 26, 6), -300}}, utc(1998, 1, 1, 0))
      .value();
}

std::vector<std::string> dates(const WallClockPlan& plan, Day from, Day to) {
  std::vector<std::string> out;
  const auto due = wall_clock_due(plan, from, to, new_york_1997());
  REQUIRE(due);
  for (const WallClockDue& one : *due) {
    const CivilDate date = civil_date(one.day);
    out.push_back(std::to_string(date.month) + "-" + std::to_string(date.day));
  }
  return out;
}

using Dates = std::vector<std::string>;

}  // namespace

// ISO 8601 week dates, computed with Python's datetime.isocalendar.
TEST_CASE("days around the new year lie in the ISO week of their Thursday", "[reference]") {
  const auto week = [](std::int32_t y, std::uint32_t m, std::uint32_t d) {
    return iso_week_text(iso_week(day(y, m, d)));
  };
  CHECK(week(2005, 1, 1) == "2004-W53-6");
  CHECK(week(2005, 1, 2) == "2004-W53-7");
  CHECK(week(2005, 12, 31) == "2005-W52-6");
  CHECK(week(2007, 1, 1) == "2007-W01-1");
  CHECK(week(2007, 12, 31) == "2008-W01-1");
  CHECK(week(2008, 12, 29) == "2009-W01-1");
  CHECK(week(2009, 12, 31) == "2009-W53-4");
  CHECK(week(2010, 1, 3) == "2009-W53-7");
}

// Python's datetime.date.toordinal, less that of 1970-01-01.
TEST_CASE("dates have their day numbers", "[reference]") {
  CHECK(day(1970, 1, 1) == 0);
  CHECK(day(1997, 9, 2) == 10'106);
  CHECK(day(2000, 2, 29) == 11'016);
  CHECK(day(2026, 3, 8) == 20'520);
  CHECK(day(1900, 1, 1) == -25'567);
  CHECK(day(2199, 12, 31) == 84'005);
}

// IANA time-zone data, New York 2026.
TEST_CASE("09:00 in New York is 14:00 UTC, in summer 13:00", "[reference]") {
  const ZoneOffsets zone = new_york_2026();
  CHECK(zone.instant(day(2026, 3, 7), 540).value().at_ms == utc(2026, 3, 7, 14));
  CHECK(zone.instant(day(2026, 3, 8), 540).value().at_ms == utc(2026, 3, 8, 13));
  CHECK(zone.instant(day(2026, 10, 31), 540).value().at_ms == utc(2026, 10, 31, 13));
  CHECK(zone.instant(day(2026, 11, 1), 540).value().at_ms == utc(2026, 11, 1, 14));
}

// The same data; what a skipped and a doubled local time mean is RFC 5545, section 3.3.5.
TEST_CASE("02:30 on the spring day does not exist, 01:30 on the autumn day is the first of two",
          "[reference]") {
  const ZoneOffsets zone = new_york_2026();
  const LocalInstant skipped = zone.instant(day(2026, 3, 8), 150).value();
  CHECK(skipped.reading == ClockReading::kSkipped);
  CHECK(skipped.at_ms == utc(2026, 3, 8, 7, 30));
  CHECK(zone.local(skipped.at_ms).value().minute == 210);  // 03:30 on the wall
  CHECK(zone.instant(day(2026, 3, 8), 119).value().reading == ClockReading::kOnce);
  CHECK(zone.instant(day(2026, 3, 8), 120).value().reading == ClockReading::kSkipped);
  CHECK(zone.instant(day(2026, 3, 8), 180).value().reading == ClockReading::kOnce);

  const LocalInstant twice = zone.instant(day(2026, 11, 1), 90).value();
  CHECK(twice.reading == ClockReading::kTwice);
  CHECK(twice.at_ms == utc(2026, 11, 1, 5, 30));
  CHECK(zone.instant(day(2026, 11, 1), 59).value().reading == ClockReading::kOnce);
  CHECK(zone.instant(day(2026, 11, 1), 60).value().reading == ClockReading::kTwice);
  CHECK(zone.instant(day(2026, 11, 1), 119).value().reading == ClockReading::kTwice);
  CHECK(zone.instant(day(2026, 11, 1), 120).value().reading == ClockReading::kOnce);
}

// The two rules side by side, same data: a feed keeps the clock on the wall, a dose keeps its hours.
TEST_CASE("over a clock change a feed keeps 09:00 and a dose keeps 12 hours", "[reference]") {
  const ZoneOffsets zone = new_york_2026();
  WallClockPlan feed;
  feed.first_day = day(2026, 1, 1);
  feed.slots_min = {540, 1260};
  ElapsedPlan dose;
  dose.interval_min = 720;
  dose.count_from = CountFrom::kFirstDone;

  const auto check = [&](Day from, WallMs begin_ms, const std::vector<std::uint64_t>& feed_hours,
                         const std::vector<std::uint32_t>& dose_minutes) {
    const auto feeds = wall_clock_due(feed, from, from + 1, zone).value();
    REQUIRE(feeds.size() == 4);
    for (std::size_t i = 0; i < 4; ++i) {
      CHECK(feeds[i].slot_min == zone.local(feeds[i].instant.at_ms).value().minute);
      CHECK((feeds[i].instant.at_ms - begin_ms) / kHourMs == feed_hours[i]);
    }
    // The first dose was given at 09:00 of the day before the change.
    const auto doses = elapsed_due(dose, {begin_ms}, begin_ms, begin_ms + 37 * kHourMs).value();
    REQUIRE(doses.size() == 3);
    for (std::size_t i = 0; i < 3; ++i) {
      CHECK(doses[i] - begin_ms == (i + 1) * 12 * kHourMs);
      CHECK(zone.local(doses[i]).value().minute == dose_minutes[i]);
    }
  };
  // Forward: 09:00 comes an hour sooner; the dose moves from 09:00 to 10:00 on the wall.
  check(day(2026, 3, 7), utc(2026, 3, 7, 14), {0, 12, 23, 35}, {1260, 600, 1320});
  // Back: 09:00 comes an hour later; the dose moves to 08:00.
  check(day(2026, 10, 31), utc(2026, 10, 31, 13), {0, 12, 25, 37}, {1260, 480, 1200});
}

// RFC 5545, section 3.8.5.3, DTSTART 1997-09-02 09:00 America/New_York, DAILY;COUNT=10.
TEST_CASE("daily for ten days from 2 September 1997", "[reference]") {
  WallClockPlan plan;
  plan.first_day = day(1997, 9, 2);
  plan.last_day = plan.first_day + 9;
  plan.slots_min = {540};
  CHECK(dates(plan, day(1997, 8, 1), day(1997, 12, 31)) ==
        Dates{"9-2", "9-3", "9-4", "9-5", "9-6", "9-7", "9-8", "9-9", "9-10", "9-11"});
}

// The same section: WEEKLY;UNTIL=19971224T000000Z, 17 dates, EDT until 21 October, EST from 28 October.
TEST_CASE("weekly until 24 December 1997 is 17 Tuesdays, an hour later in UTC from 28 October",
          "[reference]") {
  WallClockPlan plan;
  plan.first_day = day(1997, 9, 2);
  plan.last_day = day(1997, 12, 23);
  plan.slots_min = {540};
  plan.weekdays = kTuesday;
  const auto due = wall_clock_due(plan, day(1997, 8, 1), day(1997, 12, 31), new_york_1997()).value();
  REQUIRE(due.size() == 17);
  for (const WallClockDue& one : due) {
    const bool summer = one.day < day(1997, 10, 26);
    CHECK(one.instant.at_ms % (24 * kHourMs) == (summer ? 13 : 14) * kHourMs);
  }
  CHECK(due[7].day == day(1997, 10, 21));
  CHECK(due[8].day == day(1997, 10, 28));
  CHECK(due[16].day == day(1997, 12, 23));
}

// The same section: every other week on MO,WE,FR until 24 December, from 1 September. Its weeks begin on
// Sunday; on these days that makes no difference to weeks that begin on Monday.
TEST_CASE("every other week on Monday, Wednesday and Friday is 25 dates", "[reference]") {
  WallClockPlan plan;
  plan.first_day = day(1997, 9, 1);
  plan.last_day = day(1997, 12, 23);
  plan.slots_min = {540};
  plan.weekdays = kMonday | kWednesday | kFriday;
  plan.every_weeks = 2;
  CHECK(dates(plan, day(1997, 8, 1), day(1997, 12, 31)) ==
        Dates{"9-1",   "9-3",   "9-5",   "9-15",  "9-17",  "9-19",  "9-29",  "10-1",  "10-3",
              "10-13", "10-15", "10-17", "10-27", "10-29", "10-31", "11-10", "11-12", "11-14",
              "11-24", "11-26", "11-28", "12-8",  "12-10", "12-12", "12-22"});
}

// The same section: every other week on TU,TH, eight times.
TEST_CASE("every other week on Tuesday and Thursday", "[reference]") {
  WallClockPlan plan;
  plan.first_day = day(1997, 9, 2);
  plan.last_day = day(1997, 10, 16);
  plan.slots_min = {540};
  plan.weekdays = kTuesday | kThursday;
  plan.every_weeks = 2;
  CHECK(dates(plan, day(1997, 8, 1), day(1997, 12, 31)) ==
        Dates{"9-2", "9-4", "9-16", "9-18", "9-30", "10-2", "10-14", "10-16"});
}

// The same section: TU,SU every other week from 5 August, weeks that begin on Monday (WKST=MO): 5, 10, 19, 24
// August. With weeks from Sunday it would be 5, 17, 19, 31.
TEST_CASE("every other week on Tuesday and Sunday, weeks beginning on Monday", "[reference]") {
  WallClockPlan plan;
  plan.first_day = day(1997, 8, 5);
  plan.last_day = day(1997, 8, 31);
  plan.slots_min = {540};
  plan.weekdays = kTuesday | kSunday;
  plan.every_weeks = 2;
  CHECK(dates(plan, day(1997, 8, 1), day(1997, 12, 31)) == Dates{"8-5", "8-10", "8-19", "8-24"});
}

// The same section, HOURLY;INTERVAL=3;UNTIL=19970902T170000Z from 09:00 EDT. The text lists 15:00 too, but
// 17:00 UTC is 13:00 EDT (an erratum, from memory); dateutil gives two.
TEST_CASE("every three hours until 17:00 UTC is twice, at 09:00 and 12:00 in New York", "[reference]") {
  ElapsedPlan plan;
  plan.start_ms = utc(1997, 9, 2, 13);
  plan.interval_min = 180;
  plan.last_ms = utc(1997, 9, 2, 17);
  CHECK(elapsed_due(plan, {}, 0, utc(1998, 1, 1, 0)).value() ==
        std::vector<WallMs>{utc(1997, 9, 2, 13), utc(1997, 9, 2, 16)});
}

// 9 CFR 3.105: thawed in standing or running cold water, fed within 24 hours of leaving the freezer; thawed
// under refrigeration, within 24 hours of being thawed.
TEST_CASE("a thaw batch may be fed at 23:59 and 24:00 of its clock, not at 24:01", "[reference]") {
  const WallMs out_ms = utc(2026, 3, 7, 14);
  const WallMs thawed_ms = out_ms + 20 * kHourMs;
  const WallMs minute = 60'000;
  const auto state = [&](ThawMethod method, WallMs now_ms) {
    return thaw_standing({method, out_ms, thawed_ms}, ThawLimits{}, now_ms).value().state;
  };
  CHECK(state(ThawMethod::kColdWater, out_ms + 24 * kHourMs - minute) == ThawState::kUsable);
  CHECK(state(ThawMethod::kColdWater, out_ms + 24 * kHourMs) == ThawState::kUsable);
  CHECK(state(ThawMethod::kColdWater, out_ms + 24 * kHourMs + minute) == ThawState::kPastLimit);
  CHECK(state(ThawMethod::kRefrigeration, thawed_ms + 24 * kHourMs - minute) == ThawState::kUsable);
  CHECK(state(ThawMethod::kRefrigeration, thawed_ms + 24 * kHourMs) == ThawState::kUsable);
  CHECK(state(ThawMethod::kRefrigeration, thawed_ms + 24 * kHourMs + minute) == ThawState::kPastLimit);
  // The 24 hours are elapsed: over the night of the clock change they end at 10:00 on the wall, not 09:00.
  const auto until =
      thaw_standing({ThawMethod::kColdWater, out_ms, {}}, ThawLimits{}, out_ms).value().usable_until_ms;
  CHECK(new_york_2026().local(*until).value().minute == 600);
}
