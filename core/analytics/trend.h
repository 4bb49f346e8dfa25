// Is there a trend, and how steep, without assuming a straight line or a normal spread.
//
// Mann 1945, Kendall 1975 (test), Sen 1968 (slope); Gilbert 1987, ch. 16. Gaps are left out and the figures
// around one keep their distance in time (known_points), so a gap weakens the answer but does not bend it.
// The figures are taken as independent: daily figures that lean on each other (lag1_autocorrelation) make p
// too small.
#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <vector>

#include "analytics/series.h"

namespace wrackline {

// Work and memory go with the square; five years of daily figures fit. With more points there is no answer:
// hand in a shorter span, or means of weeks.
inline constexpr std::size_t kTrendPointsMax = 2000;

struct KendallFigures {
  std::size_t count = 0;
  std::int64_t s = 0;   // Concordant less discordant pairs; a pair tied in x or y counts for neither.
  double tau_b = 0;     // -1 to 1, corrected for ties; without ties it is tau, S per number of pairs.
  double variance = 0;  // The variance of S when there is no trend, corrected for ties in x and in y.
  double z = 0;         // (S - sign S) / sqrt(variance).
  double p_normal = 0;  // Two-sided, from z.
  // Two-sided, counted over all orders; when there is no tie and count <= kExactMax.
  std::optional<double> p_exact;

  static constexpr std::size_t kExactMax = 50;
  double p() const { return p_exact.value_or(p_normal); }  // The better one that there is.
};

// Absent under two points, above kTrendPointsMax, or when all x or all y are equal.
std::optional<KendallFigures> kendall(const std::vector<Point>& points);

// The same with time as x. Under about ten figures without an exact p, z is a rough guide only.
std::optional<KendallFigures> mann_kendall(const Series& series);

struct TheilSenLine {
  std::size_t count = 0;
  double slope = 0;      // Median of the slopes of all pairs that differ in x; y per unit of x.
  double intercept = 0;  // median(y) - slope * median(x). Other rules exist and give other lines.
};

// Absent under two points, above kTrendPointsMax, or when all x are equal.
std::optional<TheilSenLine> theil_sen(const std::vector<Point>& points);

}  // namespace wrackline
