// A ration suggested from what an animal, or a group fed as one, really ate.
//
// Information for whoever sets the diet, never applied by itself: a plan changes only when a named person
// changes it. It says what was eaten, not what is needed. A sick, moulting, growing or overfed animal eats
// what it should not go on eating; the vet and the diet's own limits come first.
//
// The median, not the mean, so that one day of refusal or one slip of the scale does not move it. The
// quartiles stand beside it: half of the days lie between them. That and the count of days are for the reader
// to judge by; there is no smallest count, since none is agreed on.
#pragma once

#include <cstdint>
#include <optional>

#include "analytics/series.h"
#include "base/ids.h"

namespace wrackline {

struct SuggestedRation {
  // A day's mass as fed, each rounded once to the nearest step, halves away from zero.
  std::int64_t ration_mg = 0;  // Median.
  std::int64_t lower_quartile_mg = 0;
  std::int64_t upper_quartile_mg = 0;
  std::uint32_t days_counted = 0;  // With a figure.
  Day first_day = 0;               // The first and the last day that counted.
  Day last_day = 0;

  std::int64_t spread_mg() const { return upper_quartile_mg - lower_quartile_mg; }
};

// `eaten_mg[0]` is the mass eaten on `first_day`. Hand in a gap for a day that was not recorded or not wholly
// weighed (IntakeDayFigures::complete). `step_mg` is what the scale can weigh out, such as 5 g.
//
// Absent when no day has a figure, when step_mg is not above 0, when the median is negative (more came back
// than was offered: mend the weighings first), or when a figure does not fit.
std::optional<SuggestedRation> suggest_ration(Day first_day, const WholeSeries& eaten_mg,
                                              std::int64_t step_mg);

}  // namespace wrackline
