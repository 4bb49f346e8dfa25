// When things are due that follow the clock on the wall: feeds, cleaning, doses "twice a day".
//
// A 09:00 feed is at 09:00 before and after a clock change, though the hours between differ. For what must
// keep its hours, see schedule/elapsed.h.
#pragma once

#include <cstdint>
#include <optional>
#include <vector>

#include "schedule/zone_offsets.h"

namespace wrackline {

struct WallClockPlan {
  Day first_day = 0;
  std::optional<Day> last_day;  // Included; absent = no end.
  std::vector<std::uint32_t>
      slots_min;               // Minutes after local midnight, in any order; twice the same counts once.
  std::uint32_t weekdays = 0;  // Bits 0..6 = Monday..Sunday; 0 = every day.
  // Every so many weeks, counted from the week of first_day; weeks begin on Monday. 1 = every week.
  std::uint32_t every_weeks = 1;
};

struct WallClockDue {
  Day day = 0;
  std::uint32_t slot_min = 0;
  LocalInstant instant;  // Its reading says whether the slot was skipped or shown twice.
};

// The longest span one call answers, a year and a day.
inline constexpr std::int64_t kScheduleDaysMax = 367;

// Lists what is due on the local days `from_day` to `to_day`, both included, by day and slot. A skipped slot
// is due all the same, shifted; a slot shown twice is due once.
// Errors: kInvalid: a span that ends before it begins or is too long, a slot that is not within the day, a
// week count of 0, or a day outside the zone's span.
Result<std::vector<WallClockDue>> wall_clock_due(const WallClockPlan& plan, Day from_day, Day to_day,
                                                 const ZoneOffsets& zone);

}  // namespace wrackline
