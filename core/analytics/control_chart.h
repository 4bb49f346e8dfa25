// Control charts: has intake, mass or a water figure left the course it held before?
//
// Target and spread come from a span in which all was well, chosen by people. A signal is a reason to look,
// not a finding. Formulas as in the NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.2 to 6.3.2.4.
//
// A gap leaves an empty point in the answer. EWMA and CUSUM stay where they were: a day nobody recorded is no
// evidence either way, and the width of the EWMA's limits counts figures, not days. There is no moving range
// across a gap: figures that are days apart differ more than neighbours do, and would widen the limits.
#pragma once

#include <cstddef>
#include <optional>
#include <vector>

#include "analytics/series.h"
#include "base/result.h"

namespace wrackline {

struct ControlLimits {
  double lower = 0;
  double upper = 0;
};

// --- EWMA: z = lambda * x + (1 - lambda) * z, from z = target. Sees small, lasting shifts.

struct EwmaSettings {
  double target = 0;
  double sigma = 0;     // Standard deviation of single figures when all is well; above 0.
  double lambda = 0.2;  // Weight of the newest figure; above 0, at most 1.
  double width = 3;     // Half the distance between the limits, in standard deviations of z; above 0.
};

struct EwmaPoint {
  double z = 0;
  // Exact for t figures: target -+ width * sigma * sqrt(lambda / (2 - lambda) * (1 - (1 - lambda)^(2t))).
  ControlLimits limits;
  bool outside = false;  // On the limit is within.
};

// One figure at a time. The settings are in their ranges (ewma_chart checks them).
class Ewma {
 public:
  explicit Ewma(const EwmaSettings& settings) : settings_(settings), z_(settings.target) {}
  EwmaPoint add(double value);

 private:
  EwmaSettings settings_;
  double z_;
  double decay_ = 1;  // (1 - lambda)^(2t)
};

// Errors: kInvalid when a setting is out of its range.
Result<std::vector<std::optional<EwmaPoint>>> ewma_chart(const Series& series, const EwmaSettings& settings);

// Where the exact limits end up after many figures; the handbook draws these from the first.
ControlLimits ewma_steady_limits(const EwmaSettings& settings);

// --- Tabular CUSUM: upper = max(0, upper + x - target - slack), lower = max(0, lower + target - slack - x).

struct CusumSettings {
  double target = 0;
  double slack = 0;     // k, in units of the figures: half the shift that matters; not negative.
  double decision = 0;  // h, in units of the figures; above 0.
};

struct CusumPoint {
  double upper = 0;
  double lower = 0;
  bool alarm = false;  // Either is above the decision value. The sums run on; nothing restarts them.
};

// One figure at a time. The settings are in their ranges (cusum_chart checks them).
class Cusum {
 public:
  explicit Cusum(const CusumSettings& settings) : settings_(settings) {}
  CusumPoint add(double value);

 private:
  CusumSettings settings_;
  double upper_ = 0;
  double lower_ = 0;
};

// Errors: kInvalid when a setting is out of its range.
Result<std::vector<std::optional<CusumPoint>>> cusum_chart(const Series& series,
                                                           const CusumSettings& settings);

// --- Individuals and moving range: limits from the figures themselves, mean -+ 3 * mean range / 1.128.

struct IndividualsChart {
  double centre = 0;  // Mean of the figures.
  double range_mean = 0;
  std::size_t ranges_counted = 0;
  ControlLimits limits;
  double range_upper = 0;                     // 3.267 * mean range; there is no lower one.
  std::vector<std::optional<double>> ranges;  // |figure - the one before|, at the place of the later.
  std::vector<std::size_t> outside;           // Places whose figure is outside its limits.
  std::vector<std::size_t> ranges_outside;    // Places whose range is above its limit.
};

// Absent when no two figures are neighbours: without a range there are no limits.
std::optional<IndividualsChart> individuals_chart(const Series& series);

}  // namespace wrackline
