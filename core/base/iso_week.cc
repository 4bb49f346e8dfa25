#include "base/iso_week.h"

namespace wrackline {
namespace {

constexpr std::int64_t kEraDays = 146'097;     // 400 years
constexpr std::int64_t kDaysTo1970 = 719'468;  // From 0000-03-01

// `month` 1..12; the day may be any.
std::int64_t days_from_civil(std::int64_t year, std::int64_t month, std::int64_t day) {
  if (month <= 2) --year;
  const std::int64_t era = (year >= 0 ? year : year - 399) / 400;
  const std::int64_t year_of_era = year - era * 400;
  const std::int64_t day_of_year = (153 * (month > 2 ? month - 3 : month + 9) + 2) / 5 + day - 1;
  const std::int64_t day_of_era = year_of_era * 365 + year_of_era / 4 - year_of_era / 100 + day_of_year;
  return era * kEraDays + day_of_era - kDaysTo1970;
}

}  // namespace

CivilDate civil_date(Day day) {
  const std::int64_t shifted = std::int64_t{day} + kDaysTo1970;
  const std::int64_t era = (shifted >= 0 ? shifted : shifted - (kEraDays - 1)) / kEraDays;
  const std::int64_t day_of_era = shifted - era * kEraDays;
  const std::int64_t year_of_era =
      (day_of_era - day_of_era / 1460 + day_of_era / 36'524 - day_of_era / 146'096) / 365;
  const std::int64_t day_of_year = day_of_era - (365 * year_of_era + year_of_era / 4 - year_of_era / 100);
  const std::int64_t month_from_march = (5 * day_of_year + 2) / 153;
  const std::int64_t month = month_from_march < 10 ? month_from_march + 3 : month_from_march - 9;
  return {static_cast<std::int32_t>(year_of_era + era * 400 + (month <= 2 ? 1 : 0)),
          static_cast<std::uint32_t>(month),
          static_cast<std::uint32_t>(day_of_year - (153 * month_from_march + 2) / 5 + 1)};
}

Result<Day> day_of(const CivilDate& date) {
  const bool in_range = date.year >= 0 && date.year <= 9999 && date.month >= 1 && date.month <= 12 &&
                        date.day >= 1 && date.day <= 31;
  if (in_range) {
    const Day day = static_cast<Day>(days_from_civil(date.year, date.month, date.day));
    if (civil_date(day) == date) return day;
  }
  return fail(ErrorCode::kInvalid, "reading a date: the calendar has no such day; check year, month and day");
}

// Day 0 was a Thursday.
std::uint32_t iso_weekday(Day day) {
  const std::int64_t since_monday = (std::int64_t{day} + 3) % 7;
  return static_cast<std::uint32_t>((since_monday + 7) % 7 + 1);
}

IsoWeek iso_week(Day day) {
  const std::uint32_t weekday = iso_weekday(day);
  // Near the ends of what a Day holds, the Thursday may not be one; its year and place in it are the same a
  // whole number of eras away, where it is.
  const std::int64_t eras = day > 0 ? -1 : 1;
  const std::int64_t thursday = std::int64_t{day} + 4 - weekday + eras * kEraDays;
  const std::int64_t moved_year = civil_date(static_cast<Day>(thursday)).year;
  const std::int64_t day_of_year = thursday - days_from_civil(moved_year, 1, 1);
  return {static_cast<std::int32_t>(moved_year - eras * 400), static_cast<std::uint32_t>(day_of_year / 7 + 1),
          weekday};
}

std::string iso_week_text(const IsoWeek& week) {
  std::string year = std::to_string(week.year < 0 ? -std::int64_t{week.year} : std::int64_t{week.year});
  if (year.size() < 4) year.insert(0, 4 - year.size(), '0');
  return (week.year < 0 ? "-" : "") + year + (week.week < 10 ? "-W0" : "-W") + std::to_string(week.week) +
         "-" + std::to_string(week.weekday);
}

}  // namespace wrackline
