// This file says what is due, as an iCalendar text (RFC 5545) for any calendar program.
//
// Text only: no file, no clock. Instants are written in UTC; wall-clock times as local time with the zone's
// name, whose rules are then written into the text from the offsets handed in (section 3.6.5 asks for it).
// Lines end in CRLF and are folded at 75 bytes, never inside a character.
//
// Programs and people outside read the export: put no more into a summary than they may see.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "schedule/zone_offsets.h"

namespace wrackline {

// A time on the clock on the wall of the calendar's zone.
struct CalendarWallClock {
  Day day = 0;
  std::uint32_t minute = 0;  // 0..1439
};

struct CalendarEntry {
  std::string uid;  // Not empty, and the same for the same thing in every export; UTF-8.
  std::string
      summary;  // One line for people; UTF-8. Control characters other than line breaks become spaces.
  WallMs start_ms = 0;  // Used when `wall_clock` is absent; begun seconds are cut off.
  std::optional<CalendarWallClock> wall_clock;
  std::uint32_t duration_min = 0;  // 0 = a moment
};

struct CalendarZone {
  std::string iana_name;  // "Europe/Oslo"
  ZoneOffsets offsets;
};

struct CalendarHead {
  std::string product;  // The maker, for PRODID
  WallMs made_ms = 0;   // DTSTAMP of every entry
};

// `zone` may be absent when no entry has a wall_clock.
// Errors: kInvalid: no entry (a calendar without one is none, section 3.4), an empty or repeated UID, text
// that is not UTF-8, a minute outside the day, a time outside the years 1970 to 9999 or the zone's span, a
// wall-clock entry without a zone, or a zone name with other characters than an IANA name has.
Result<std::string> calendar_text(const CalendarHead& head, const std::vector<CalendarEntry>& entries,
                                  const std::optional<CalendarZone>& zone = std::nullopt);

}  // namespace wrackline
