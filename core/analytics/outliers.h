// Figures that lie far from the rest: worth a second look at the scale or the animal, never taken out by
// itself.
//
// Hampel's rule: further from the median than 3 * 1.4826 * MAD. Median and MAD, not mean and standard
// deviation, since one wild figure moves those so far that it hides itself.
#pragma once

#include <cstddef>
#include <optional>
#include <vector>

#include "analytics/series.h"

namespace wrackline {

struct HampelFigures {
  std::size_t count = 0;  // Figures judged.
  double median = 0;
  double mad = 0;  // Not scaled.
  // A figure further than this from the median is an outlier. Absent when more than half of the figures are
  // equal: the MAD is then 0, the rule would call every other figure an outlier, and so it says nothing.
  std::optional<double> distance_max;
  std::vector<std::size_t> outliers;  // Places in the series, in order.
};

// A gap is passed over. Absent when there is no figure at all.
std::optional<HampelFigures> hampel(const Series& series);

}  // namespace wrackline
