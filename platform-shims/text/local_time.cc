#include "text/local_time.h"

#include <date/date.h>
#include <date/tz.h>

#include <algorithm>
#include <chrono>

namespace wrackline::text {
namespace {

using std::chrono::milliseconds;
using std::chrono::minutes;
using std::chrono::seconds;


std::string two(std::int64_t n) { return (n < 10 ? "0" : "") + std::to_string(n); }

bool read_number(std::string_view& text, std::size_t digits_min, std::size_t digits_max, int& out) {
  std::size_t n = 0;
  out = 0;
  while (n < text.size() && n < digits_max && text[n] >= '0' && text[n] <= '9')
    out = out * 10 + (text[n++] - '0');
  text.remove_prefix(n);
  return n >= digits_min;
}

bool read_char(std::string_view& text, char c) {
  if (text.empty() || text.front() != c) return false;
  text.remove_prefix(1);
  return true;
}

void skip_spaces(std::string_view& text) {
  while (!text.empty() && text.front() == ' ') text.remove_prefix(1);
}

Unexpected no_time(std::string_view text) {
  return fail(
      ErrorCode::kInvalid,
      "\"" + std::string(text) + "\" is not a time; write it like \"2026-11-24 08:35\", or 08:35 for today");
}

date::sys_time<milliseconds> instant_of(WallMs ms) {
  return date::sys_time<milliseconds>(milliseconds(static_cast<std::int64_t>(ms)));
}

std::string print_offset(int offset_min) {
  const int size = offset_min < 0 ? -offset_min : offset_min;
  return (offset_min < 0 ? "-" : "+") + two(size / 60) + ":" + two(size % 60);
}

int offset_minutes(const date::sys_info& info) {
  return static_cast<int>(std::chrono::duration_cast<minutes>(info.offset).count());
}

}  // namespace

Result<Day> parse_day(std::string_view text) {
  std::string_view rest = text;
  int year = 0, month = 0, day = 0;
  const bool shape = read_number(rest, 4, 4, year) && read_char(rest, '-') &&
                     read_number(rest, 2, 2, month) && read_char(rest, '-') && read_number(rest, 2, 2, day) &&
                     rest.empty();
  if (!shape)
    return fail(ErrorCode::kInvalid, "\"" + std::string(text) + "\" is not a date; write it like 2026-11-24");
  const date::year_month_day ymd{date::year{year}, date::month{static_cast<unsigned>(month)},
                                 date::day{static_cast<unsigned>(day)}};
  if (!ymd.ok() || year < 1900 || year > 2999)
    return fail(ErrorCode::kInvalid, "there is no day \"" + std::string(text) + "\" in the calendar");
  return static_cast<Day>(date::local_days{ymd}.time_since_epoch().count());
}

std::string print_day(Day day) {
  const date::year_month_day ymd{date::local_days{date::days{day}}};
  return std::to_string(static_cast<int>(ymd.year())) + "-" + two(static_cast<unsigned>(ymd.month())) + "-" +
         two(static_cast<unsigned>(ymd.day()));
}

int weekday_of(Day day) {
  return static_cast<int>(date::weekday{date::local_days{date::days{day}}}.iso_encoding()) - 1;
}

Result<Zone> Zone::find(const std::string& iana_name) {
  // The library reports an unknown zone by throwing; nothing else here throws.
  try {
    return Zone(date::locate_zone(iana_name));
  } catch (const std::exception&) {
    return fail(ErrorCode::kNotFound, "this system does not know the facility's time zone \"" + iana_name +
                                          "\"; install the system's time zone data (tzdata) and try again");
  }
}

When Zone::when(WallMs instant) const {
  const auto info = zone_->get_info(date::floor<seconds>(instant_of(instant)));
  const auto local = instant_of(instant) + info.offset;
  return {instant, static_cast<Day>(date::floor<date::days>(local).time_since_epoch().count()),
          offset_minutes(info)};
}

std::vector<Offset> Zone::offsets(Day first_day, Day last_day) const {
  // Clocks are less than a day from UTC, so two UTC days before and three after hold the local days asked for and
  // one on either side.
  const date::sys_seconds begin = date::sys_days(date::days(std::int64_t{first_day} - 2));
  const date::sys_seconds end = date::sys_days(date::days(std::int64_t{last_day} + 3));
  std::vector<Offset> out;
  for (date::sys_seconds at = begin; at < end;) {
    const date::sys_info info = zone_->get_info(at);
    // The first has been in force for long, mostly; said a week back, no change looks as if it came soon after it.
    const date::sys_seconds from = out.empty() ? std::max(info.begin, begin - date::weeks(1)) : at;
    // Where only the zone's abbreviation changes, the offset goes on.
    if (out.empty() || out.back().utc_offset_min != offset_minutes(info))
      out.push_back({milliseconds(from.time_since_epoch()).count(), offset_minutes(info)});
    at = info.end;
  }
  return out;
}

Result<Day> Zone::parse_day_of(std::string_view text, WallMs now) const {
  if (text == "today") return today(now);
  if (text == "yesterday") return today(now) - 1;
  return parse_day(text);
}

Result<WallMs> Zone::parse(std::string_view text, WallMs now) const {
  std::string_view rest = text;
  skip_spaces(rest);
  Day day = today(now);
  if (rest.substr(0, 9) == "yesterday") {
    day -= 1;
    rest.remove_prefix(9);
  } else if (rest.substr(0, 5) == "today") {
    rest.remove_prefix(5);
  } else if (rest.size() >= 10 && rest[4] == '-') {
    auto parsed = parse_day(rest.substr(0, 10));
    if (!parsed) return fail(parsed.error());
    day = *parsed;
    rest.remove_prefix(10);
    if (!read_char(rest, 'T') && (rest.empty() || rest.front() != ' ')) return no_time(text);
  }
  skip_spaces(rest);

  int hour = 0, minute = 0, second = 0, milli = 0;
  if (!read_number(rest, 1, 2, hour) || !read_char(rest, ':') || !read_number(rest, 2, 2, minute))
    return no_time(text);
  if (read_char(rest, ':')) {
    if (!read_number(rest, 2, 2, second)) return no_time(text);
    if (read_char(rest, '.')) {
      const std::size_t before = rest.size();
      if (!read_number(rest, 1, 3, milli)) return no_time(text);
      for (std::size_t n = before - rest.size(); n < 3; ++n) milli *= 10;
      int finer = 0;
      (void)read_number(rest, 0, 9, finer);  // Finer than a millisecond: not kept.
    }
  }
  // RFC 3339 allows second 60, a leap second; the count of milliseconds since 1970 has no place for it, so it
  // falls on the first second of the next minute.
  if (hour > 23 || minute > 59 || second > 60) return no_time(text);
  skip_spaces(rest);

  const date::local_seconds local =
      date::local_days{date::days{day}} + std::chrono::hours(hour) + minutes(minute) + seconds(second);
  const auto at = [&](seconds offset) {
    return static_cast<WallMs>((local.time_since_epoch() - offset + milliseconds(milli)).count());
  };

  if (!rest.empty()) {
    if (rest == "Z" || rest == "z") return at(seconds(0));
    const bool west = rest.front() == '-';
    int offset_hour = 0, offset_minute = 0;
    if ((!read_char(rest, '+') && !read_char(rest, '-')) || !read_number(rest, 2, 2, offset_hour) ||
        !read_char(rest, ':') || !read_number(rest, 2, 2, offset_minute) || !rest.empty() ||
        offset_hour > 23 || offset_minute > 59)
      return no_time(text);
    const minutes offset(offset_hour * 60 + offset_minute);
    return at(west ? -offset : offset);
  }

  const date::local_info info = zone_->get_info(local);
  const std::string reading = print_day(day) + " " + two(hour) + ":" + two(minute);
  if (info.result == date::local_info::nonexistent)
    return fail(ErrorCode::kInvalid, "there was no " + reading +
                                         " at the facility: the clocks went forward over it; "
                                         "write the time the clock showed before or after");
  if (info.result == date::local_info::ambiguous)
    return fail(ErrorCode::kInvalid, "the clock showed " + reading + " twice, since it went back; write " +
                                         print_day(day) + "T" + two(hour) + ":" + two(minute) +
                                         print_offset(offset_minutes(info.first)) + " for the first or " +
                                         print_day(day) + "T" + two(hour) + ":" + two(minute) +
                                         print_offset(offset_minutes(info.second)) + " for the second");
  return at(info.first.offset);
}

std::string Zone::print(WallMs instant) const {
  return print_day(when(instant).day) + " " + print_clock(instant);
}

std::string Zone::print_clock(WallMs instant) const {
  const auto local_ms =
      static_cast<std::int64_t>(instant) + std::int64_t{when(instant).utc_offset_min} * 60'000;
  const std::int64_t minute =
      ((local_ms % static_cast<std::int64_t>(kDayMs)) + static_cast<std::int64_t>(kDayMs)) %
      static_cast<std::int64_t>(kDayMs) / 60'000;
  return two(minute / 60) + ":" + two(minute % 60);
}

std::string Zone::print_exact(WallMs instant) const {
  const std::string millis = std::to_string(1000 + instant % 1000).substr(1);
  return print_day(when(instant).day) + "T" + print_clock(instant) + ":" +
         two(static_cast<std::int64_t>(instant / 1000 % 60)) + "." + millis +
         print_offset(when(instant).utc_offset_min);
}

std::string print_age(WallMs then, WallMs now) {
  if (then > now) return "in the future by this device's clock";
  const WallMs age_s = (now - then) / 1000;
  if (age_s < 120) return std::to_string(age_s) + (age_s == 1 ? " second ago" : " seconds ago");
  if (age_s < 7200) return std::to_string(age_s / 60) + " minutes ago";
  if (age_s < 172'800)
    return std::to_string(age_s / 3600) + " h " + std::to_string(age_s % 3600 / 60) + " min ago";
  return std::to_string(age_s / 86'400) + " days ago";
}

}  // namespace wrackline::text
