#include "analytics/control_chart.h"

#include <algorithm>
#include <cmath>

#include "analytics/descriptive.h"

namespace wrackline {
namespace {

// For ranges of two figures: mean range per sigma, and the upper limit per mean range.
constexpr double kD2 = 1.128;
constexpr double kD4 = 3.267;

bool outside(double value, const ControlLimits& limits) {
  return value < limits.lower || value > limits.upper;
}

ControlLimits around(double centre, double half_width) { return {centre - half_width, centre + half_width}; }

double steady_half_width(const EwmaSettings& s) {
  return s.width * s.sigma * std::sqrt(s.lambda / (2 - s.lambda));
}

template <typename Chart>
auto over_series(const Series& series, Chart chart) {
  std::vector<std::optional<decltype(chart.add(0.0))>> points;
  points.reserve(series.size());
  for (const std::optional<double>& value : series) {
    points.emplace_back();
    if (value) points.back() = chart.add(*value);
  }
  return points;
}

}  // namespace

EwmaPoint Ewma::add(double value) {
  z_ = settings_.lambda * value + (1 - settings_.lambda) * z_;
  decay_ *= (1 - settings_.lambda) * (1 - settings_.lambda);
  EwmaPoint point;
  point.z = z_;
  point.limits = around(settings_.target, steady_half_width(settings_) * std::sqrt(1 - decay_));
  point.outside = outside(z_, point.limits);
  return point;
}

Result<std::vector<std::optional<EwmaPoint>>> ewma_chart(const Series& series, const EwmaSettings& settings) {
  // Asked so that a setting which is no number fails too.
  if (!(settings.lambda > 0 && settings.lambda <= 1)) {
    return fail(ErrorCode::kInvalid,
                "no EWMA chart was made: the weight lambda must be above 0 and at most 1");
  }
  if (!(settings.sigma > 0 && settings.width > 0)) {
    return fail(
        ErrorCode::kInvalid,
        "no EWMA chart was made: the spread and the width of its limits must be above 0; take the spread "
        "from a span with figures that differ");
  }
  return over_series(series, Ewma(settings));
}

ControlLimits ewma_steady_limits(const EwmaSettings& settings) {
  return around(settings.target, steady_half_width(settings));
}

CusumPoint Cusum::add(double value) {
  upper_ = std::max(0.0, upper_ + value - settings_.target - settings_.slack);
  lower_ = std::max(0.0, lower_ + settings_.target - settings_.slack - value);
  return {upper_, lower_, upper_ > settings_.decision || lower_ > settings_.decision};
}

Result<std::vector<std::optional<CusumPoint>>> cusum_chart(const Series& series,
                                                           const CusumSettings& settings) {
  if (!(settings.slack >= 0 && settings.decision > 0)) {
    return fail(
        ErrorCode::kInvalid,
        "no CUSUM chart was made: the slack must not be negative and the decision value must be above 0");
  }
  return over_series(series, Cusum(settings));
}

std::optional<IndividualsChart> individuals_chart(const Series& series) {
  IndividualsChart out;
  out.ranges.resize(series.size());
  for (std::size_t place = 1; place < series.size(); ++place) {
    if (series[place - 1] && series[place]) {
      out.ranges[place] = std::fabs(*series[place] - *series[place - 1]);
    }
  }
  const std::vector<double> ranges = known_values(out.ranges);
  if (ranges.empty()) return std::nullopt;
  out.ranges_counted = ranges.size();
  out.range_mean = *mean(ranges);
  out.range_upper = kD4 * out.range_mean;
  out.centre = *mean(known_values(series));
  out.limits = around(out.centre, 3 * out.range_mean / kD2);
  for (std::size_t place = 0; place < series.size(); ++place) {
    if (series[place] && outside(*series[place], out.limits)) out.outside.push_back(place);
    if (out.ranges[place] && *out.ranges[place] > out.range_upper) out.ranges_outside.push_back(place);
  }
  return out;
}

}  // namespace wrackline
