// When an entry counts as late: made, or brought to the hub, so long after what it tells of that it was hardly written
// down where it happened.
//
// Pure, and the thresholds stand here alone. No source names figures for animal records; records of regulated work are to
// be made at the time of the act ("contemporaneous"), and how much later is too late is each site's to say. These are
// common practice, and only mark an entry; nothing is refused for them.
#pragma once

#include "base/ids.h"

namespace wrackline {

// Entered more than a day after it happened: not in the same round, and by the next one from memory or from paper. A
// day, and not hours, since a sheet that is typed in the evening, or the morning after, is how many sites work.
inline constexpr WallMs kLateEntryMs = 24ull * 3'600'000;

// First held by the hub more than three days after it was entered: a tablet that was out of reach over a weekend is still
// in time. Until then nobody else could have seen the entry, or told it from one that was written later.
inline constexpr WallMs kLateHeldMs = 72ull * 3'600'000;

// `happened` 0: of no event, so that only the way to the hub counts. `held` 0: the hub's receipt is not known here.
inline bool is_late(WallMs happened, WallMs entered, WallMs held) {
  const bool is_late_entry = happened != 0 && entered > happened && entered - happened > kLateEntryMs;
  const bool is_late_held = held != 0 && held > entered && held - entered > kLateHeldMs;
  return is_late_entry || is_late_held;
}

}  // namespace wrackline
