// Local time at the facility: the one place where an instant becomes a husbandry day and a clock reading.
//
// Time zones are the system's IANA data, read through Howard Hinnant's date library.
#pragma once

#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

#include "base/ids.h"
#include "base/result.h"

namespace date {
class time_zone;
}

namespace wrackline::text {

// "2026-11-24" (years 1900 to 2999). Errors: kInvalid, also for a day the calendar does not have.
Result<Day> parse_day(std::string_view text);
std::string print_day(Day day);
// 0 = Monday, as ISO 8601 counts.
int weekday_of(Day day);

// An event stores these of its time.
struct When {
  WallMs happened_ms = 0;
  Day day = 0;
  int utc_offset_min = 0;
};

// An offset from UTC, in force from an instant until the next one's.
struct Offset {
  std::int64_t from_ms = 0;
  int utc_offset_min = 0;
};

class Zone {
 public:
  // Errors: kNotFound when the system has no such zone.
  static Result<Zone> find(const std::string& iana_name);

  When when(WallMs instant) const;
  Day today(WallMs now) const { return when(now).day; }

  // The core has no time-zone data, so it is handed these offsets for the days and a day on either side: in
  // order, never empty, the first in force before the day before begins.
  std::vector<Offset> offsets(Day first_day, Day last_day) const;

  // "2026-11-24 08:35", "2026-11-24T08:35", "08:35" (of the day `now` is in), "yesterday 08:35"; seconds may
  // follow; an RFC 3339 offset or Z may follow and then decides. A clock reading that the zone skips or has
  // twice is refused with the readings that would do. Errors: kInvalid.
  Result<WallMs> parse(std::string_view text, WallMs now) const;
  // "today", "yesterday" or a date.
  Result<Day> parse_day_of(std::string_view text, WallMs now) const;

  std::string print(WallMs instant) const;        // 2026-11-24 08:35
  std::string print_clock(WallMs instant) const;  // 08:35
  std::string print_exact(WallMs instant) const;  // 2026-11-24T08:35:07.250+01:00, for programs

 private:
  explicit Zone(const date::time_zone* zone) : zone_(zone) {}
  const date::time_zone* zone_;
};

// Fills the `zone` of a call that asks for one.
template <typename Call>
void put_zone(Call& call, const Zone& zone, Day first_day, Day last_day) {
  for (const Offset& offset : zone.offsets(first_day, last_day)) {
    auto& out = *call.add_zone();
    out.set_from_ms(offset.from_ms);
    out.set_utc_offset_min(offset.utc_offset_min);
  }
}
template <typename Call>
void put_zone(Call& call, const Zone& zone, Day day) {
  put_zone(call, zone, day, day);
}

// "12 seconds", "3 minutes", "2 h 5 min", "4 days": how old something is, for people.
std::string print_age(WallMs then, WallMs now);

}  // namespace wrackline::text
