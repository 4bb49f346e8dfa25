// Local time at the facility, from the offsets that an app hands in.
//
// The core has no time-zone database: laws change, and each platform keeps its own up to date. An app hands
// in the facility's UTC offsets over the span it asks about. Nothing is known outside that span, and nothing
// is guessed there: an offset carried on past the span's end would be an hour off after the next change.
//
// Two local times need a rule; both are RFC 5545, section 3.3.5:
//   skipped  the clocks went forward over it: the offset before the gap holds, so 02:30 becomes 03:30
//   twice    the clocks went back over it: the first of the two is meant
// Either is said, so that a screen can show it.
#pragma once

#include <cstdint>
#include <vector>

#include "base/ids.h"
#include "base/result.h"

namespace wrackline {

// From this instant on, until the next change.
struct OffsetChange {
  WallMs from_ms = 0;
  std::int32_t utc_offset_min = 0;  // East of UTC is above 0.
};

enum class ClockReading {
  kOnce,     // An ordinary local time.
  kSkipped,  // It does not exist; shifted forward by the gap.
  kTwice,    // It is shown twice; the first was taken.
};

struct LocalInstant {
  WallMs at_ms = 0;
  std::int32_t utc_offset_min = 0;  // In force at at_ms.
  ClockReading reading = ClockReading::kOnce;
};

struct LocalTime {
  Day day = 0;
  std::uint32_t minute = 0;  // After local midnight by the clock on the wall, 0..1439; begun minutes.
  std::int32_t utc_offset_min = 0;
};

class ZoneOffsets {
 public:
  // Offsets beyond these are refused; the widest in use are -12:00 and +14:00.
  static constexpr std::int32_t kOffsetMinMax = 14 * 60;
  // Changes closer together are refused: a skipped or doubled hour would not be told apart any more. A day
  // that was skipped whole (the date line moved) is 24 hours.
  static constexpr WallMs kChangeApartMs = 48 * 3'600'000ull;

  // Makes the offsets that hold from the first entry's instant until `until_ms` (not included). An app hands
  // in a margin of some days on both sides of what it asks for.
  // Errors: kInvalid: no entry, not in order, too close together, a change that is not at a whole minute (the
  // first entry may be anywhere: the span's begin is no change), an offset out of range, or an end before the
  // last entry or beyond the year 9999.
  static Result<ZoneOffsets> make(std::vector<OffsetChange> changes, WallMs until_ms);

  // Errors: kInvalid: the minute is over 1439, or the local time lies outside the span.
  Result<LocalInstant> instant(Day day, std::uint32_t minute) const;

  // Errors: kInvalid: outside the span.
  Result<LocalTime> local(WallMs at_ms) const;

  // In order, never empty.
  const std::vector<OffsetChange>& changes() const { return changes_; }

 private:
  ZoneOffsets(std::vector<OffsetChange> changes, WallMs until_ms)
      : changes_(std::move(changes)), until_ms_(until_ms) {}

  std::int64_t segment_end(std::size_t i) const;

  std::vector<OffsetChange> changes_;
  WallMs until_ms_;
};

}  // namespace wrackline
