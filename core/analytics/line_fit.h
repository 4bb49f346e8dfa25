// The straight line of least squares. One wild figure bends it; trend.h has a line that it does not.
//
// Very different sets of figures have the same line (Anscombe 1973): show the figures beside it.
#pragma once

#include <cstddef>
#include <optional>
#include <vector>

#include "analytics/series.h"

namespace wrackline {

struct LineFit {
  std::size_t count = 0;
  double slope = 0;
  double intercept = 0;
  double residual_ss = 0;  // Sum of squared distances in y.
  // With n - 2 degrees of freedom; absent for two points, which any line fits.
  std::optional<double> residual_sd;
  std::optional<double> slope_sd;
  std::optional<double> intercept_sd;
  std::optional<double> r2;  // Absent when all y are equal.
};

// Absent under two points, or when all x are equal. Gaps are left out (known_points).
std::optional<LineFit> fit_line(const std::vector<Point>& points);

}  // namespace wrackline
