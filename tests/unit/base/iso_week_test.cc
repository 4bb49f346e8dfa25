// base/iso_week.h: every day has one date and one week, and days that are none are refused.
#include "base/iso_week.h"

#include <catch2/catch.hpp>

#include "support/random.h"

using namespace wrackline;

namespace {

constexpr Day kFirst = std::numeric_limits<Day>::min(), kLast = std::numeric_limits<Day>::max();

}  // namespace

TEST_CASE("every day of ten thousand years has its date, and the next day the next", "[schedule]") {
  CivilDate before = civil_date(day_of({0, 1, 1}).value() - 1);
  CHECK(before == CivilDate{-1, 12, 31});
  const Day first = day_of({0, 1, 1}).value(), last = day_of({9999, 12, 31}).value();
  for (Day day = first; day <= last; ++day) {
    const CivilDate date = civil_date(day);
    const bool same_month =
        date.year == before.year && date.month == before.month && date.day == before.day + 1;
    const bool next_month = date.day == 1 && before.day >= 28 && date.month == before.month % 12 + 1 &&
                            date.year == before.year + (date.month == 1 ? 1 : 0);
    if (!same_month && !next_month) FAIL("day " << day);
    const auto back = day_of(date);
    if (!back || *back != day) FAIL("day " << day);
    before = date;
  }
  CHECK(before == CivilDate{9999, 12, 31});
}

TEST_CASE("a date the calendar does not have is refused", "[schedule]") {
  for (const CivilDate& none : std::vector<CivilDate>{{2026, 2, 29},
                                                      {2024, 2, 30},
                                                      {1900, 2, 29},
                                                      {2026, 4, 31},
                                                      {2026, 0, 1},
                                                      {2026, 13, 1},
                                                      {2026, 1, 0},
                                                      {2026, 1, 32},
                                                      {-1, 1, 1},
                                                      {10'000, 1, 1}}) {
    CAPTURE(none.year, none.month, none.day);
    const auto day = day_of(none);
    REQUIRE_FALSE(day);
    CHECK(day.error().code == ErrorCode::kInvalid);
  }
  CHECK(day_of({2024, 2, 29}));
  CHECK(day_of({2000, 2, 29}));
}

TEST_CASE("weekdays follow one another, and Thursday was day 0", "[schedule]") {
  CHECK(iso_weekday(0) == 4);
  CHECK(iso_weekday(-1) == 3);
  Random random = test_random("weekdays");
  for (int i = 0; i < 1000; ++i) {
    const Day day = static_cast<Day>(random.below(4'000'000)) - 2'000'000;
    REQUIRE(iso_weekday(day + 1) == iso_weekday(day) % 7 + 1);
    REQUIRE(iso_weekday(day + 7) == iso_weekday(day));
  }
}

TEST_CASE("weekday bits begin on Monday, and none means every day", "[schedule]") {
  const Day monday = 4;
  for (Day day = monday; day < monday + 7; ++day) {
    CHECK(is_on_weekday(day, 0));
    CHECK(is_on_weekday(day, 0x7F));
    CHECK(is_on_weekday(day, 1) == (day == monday));
    CHECK(is_on_weekday(day, 64) == (day == monday + 6));
    CHECK_FALSE(is_on_weekday(day, 128));
  }
}

TEST_CASE("a week has seven days of one number, and a year 52 or 53 of them", "[schedule]") {
  IsoWeek before = iso_week(-10'000);
  for (Day day = -9'999; day < 100'000; ++day) {
    const IsoWeek week = iso_week(day);
    bool good = week.weekday == iso_weekday(day);
    if (week.weekday != 1) {
      good = good && week.week == before.week && week.year == before.year;
    } else {
      const bool next = week.year == before.year && week.week == before.week + 1 && week.week <= 53;
      const bool new_year = week.year == before.year + 1 && week.week == 1 && before.week >= 52;
      good = good && (next || new_year);
    }
    if (!good) FAIL("day " << day);
    before = week;
  }
  CHECK(before.year == 2243);
}

TEST_CASE("4 January lies in week 1 of its year, 28 December in the last", "[schedule]") {
  for (std::int32_t year = 1; year < 9999; ++year) {
    const IsoWeek first = iso_week(day_of({year, 1, 4}).value());
    const IsoWeek last = iso_week(day_of({year, 12, 28}).value());
    const bool good = first.week == 1 && first.year == year && last.week >= 52 && last.year == year;
    if (!good) FAIL("year " << year);
    if (iso_week(day_of({year, 12, 28}).value() + 7).year != year + 1) FAIL("year " << year);
  }
}

TEST_CASE("the first and the last day that can be named have dates and weeks", "[schedule]") {
  CHECK(civil_date(kLast) == CivilDate{5'881'580, 7, 11});
  CHECK(civil_date(kFirst) == CivilDate{-5'877'641, 6, 23});
  for (const Day day : {kFirst, kFirst + 1, kLast - 1, kLast}) {
    const IsoWeek week = iso_week(day);
    CHECK(week.week >= 1);
    CHECK(week.week <= 53);
    CHECK(week.year == civil_date(day).year);
  }
  CHECK(iso_week_text(iso_week(kFirst)).substr(0, 9) == "-5877641-");
  CHECK(iso_week_text({7, 3, 1}) == "0007-W03-1");
}
