// Intake judged against what was planned for its day, so that a planned light Sunday is no signal.
//
// A chart and an outlier rule suppose figures that vary about one level. Where the level moves for a known
// reason, one judges what is left when the reason is taken out: deviations from the nominal where the spread
// is the same at every level, the ratio to the nominal where the spread grows with it (charts for short runs:
// Farnum 1992, Technometrics 34:138-146; residuals of a model: Alwan & Roberts 1988, J. Bus. Econ. Stat.
// 6:87-95; both from memory). What an animal leaves grows with what it is offered, so the ratio is taken. To
// keep a figure people can read it is said as the mass of an ordinary day: eaten / planned * usual plan,
// where the usual plan is the median of the days judged.
//
// A day without a plan keeps what was eaten. A day on which nothing was planned is a gap: nothing can be said
// of a ratio to nothing, and that food was given on it shows against the plan, not here.
#pragma once

#include <cstdint>
#include <optional>
#include <vector>

#include "analytics/series.h"
#include "analytics/windows.h"

namespace wrackline {

struct PlanAdjusted {
  WholeSeries judged_mg;                      // Place for place.
  std::optional<std::int64_t> usual_plan_mg;  // Absent: no day has both; judged_mg is then what was eaten.
};

// `planned_mg` has the length of `eaten_mg`; absent = no plan is in force, or its mass is not known.
PlanAdjusted adjust_to_plan(const WholeSeries& eaten_mg,
                            const std::vector<std::optional<std::uint64_t>>& planned_mg);

}  // namespace wrackline
