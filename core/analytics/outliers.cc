#include "analytics/outliers.h"

#include <cmath>

#include "analytics/descriptive.h"

namespace wrackline {

std::optional<HampelFigures> hampel(const Series& series) {
  const std::vector<double> values = known_values(series);
  if (values.empty()) return std::nullopt;
  HampelFigures out;
  out.count = values.size();
  out.median = *median(values);
  out.mad = *median_absolute_deviation(values);
  if (out.mad == 0) return out;
  out.distance_max = 3 * kMadToSd * out.mad;
  for (std::size_t place = 0; place < series.size(); ++place) {
    if (series[place] && std::fabs(*series[place] - out.median) > *out.distance_max) {
      out.outliers.push_back(place);
    }
  }
  return out;
}

}  // namespace wrackline
