// When things are due that count elapsed hours: a dose every 12 hours, a check every 30 minutes.
//
// Instants only: no local time and no zone, so a clock change moves the reading on the wall and not the
// hours. For what follows the clock on the wall, see schedule/wall_clock.h.
#pragma once

#include <cstdint>
#include <optional>
#include <vector>

#include "base/ids.h"
#include "base/result.h"

namespace wrackline {

enum class CountFrom {
  kFirstDone,  // A fixed grid: one done late does not move the next.
  kLastDone,   // Each one moves those after it: the hours between two are kept.
};

struct ElapsedPlan {
  WallMs start_ms = 0;             // When the first is due, and those after it as long as none was done.
  std::uint32_t interval_min = 0;  // > 0
  CountFrom count_from = CountFrom::kLastDone;
  std::optional<WallMs> last_ms;  // Nothing is due after this instant; absent = no end.
};

// More than a minute-by-minute day is a mistake.
inline constexpr std::size_t kElapsedDueMax = 1500;

// Due instants in [from_ms, to_ms), in order, given when the thing was done (instants in any order; of doses
// only those that count as given, see dosing/dose_guard.h). Once one was done, the start is forgotten and the
// count begins a whole interval after the first or last one done.
// Errors: kInvalid: an interval of 0, a span that ends before it begins, or more than kElapsedDueMax.
Result<std::vector<WallMs>> elapsed_due(const ElapsedPlan& plan, const std::vector<WallMs>& done_ms,
                                        WallMs from_ms, WallMs to_ms);

}  // namespace wrackline
