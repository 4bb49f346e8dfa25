// Day numbers and calendar dates, and the ISO 8601 week of a day.
//
// Proleptic Gregorian calendar. After Howard Hinnant, "chrono-Compatible Low-Level Date Algorithms" (public
// domain): years counted from March, so that the leap day is the last of its year, in eras of 400 years.
#pragma once

#include <cstdint>
#include <string>

#include "base/ids.h"
#include "base/result.h"

namespace wrackline {

struct CivilDate {
  std::int32_t year = 1970;
  std::uint32_t month = 1;  // 1..12
  std::uint32_t day = 1;    // 1..31
  friend bool operator==(const CivilDate& a, const CivilDate& b) {
    return a.year == b.year && a.month == b.month && a.day == b.day;
  }
};

// Any day number has a date.
CivilDate civil_date(Day day);

// Errors: kInvalid for a date the calendar does not have, or a year outside 0 to 9999 (what ISO 8601 writes
// in four digits).
Result<Day> day_of(const CivilDate& date);

// 1 = Monday .. 7 = Sunday, as ISO 8601 counts.
std::uint32_t iso_weekday(Day day);

// Bits 0..6 = Monday..Sunday; 0 = every day. Higher bits mean nothing.
inline bool is_on_weekday(Day day, std::uint32_t weekdays) {
  return weekdays == 0 || (weekdays >> (iso_weekday(day) - 1) & 1u) != 0;
}

// A week belongs to the year that holds its Thursday, so the first days of January may lie in week 52 or 53
// of the year before.
struct IsoWeek {
  std::int32_t year = 1970;
  std::uint32_t week = 1;     // 1..53
  std::uint32_t weekday = 1;  // 1 = Monday .. 7 = Sunday
};

IsoWeek iso_week(Day day);

// "2009-W53-4"
std::string iso_week_text(const IsoWeek& week);

}  // namespace wrackline
