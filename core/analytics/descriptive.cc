#include "analytics/descriptive.h"

#include <algorithm>
#include <cmath>

namespace wrackline {

std::optional<double> mean(const std::vector<double>& values) {
  if (values.empty()) return std::nullopt;
  const double count = static_cast<double>(values.size());
  double sum = 0;
  for (double value : values) sum += value;
  const double rough = sum / count;
  // This puts back what the first sum rounded away.
  double remainder = 0;
  for (double value : values) remainder += value - rough;
  return rough + remainder / count;
}

std::optional<double> standard_deviation(const std::vector<double>& values) {
  if (values.size() < 2) return std::nullopt;
  const double count = static_cast<double>(values.size());
  const double centre = *mean(values);
  double squares = 0;
  double remainder = 0;
  for (double value : values) {
    squares += (value - centre) * (value - centre);
    remainder += value - centre;
  }
  return std::sqrt((squares - remainder * remainder / count) / (count - 1));
}

std::optional<double> quantile(std::vector<double> values, double fraction) {
  if (values.empty() || !(fraction >= 0 && fraction <= 1)) return std::nullopt;
  std::sort(values.begin(), values.end());
  const double position = static_cast<double>(values.size() - 1) * fraction;
  const std::size_t below = static_cast<std::size_t>(position);
  const std::size_t above = std::min(below + 1, values.size() - 1);
  return values[below] + (position - static_cast<double>(below)) * (values[above] - values[below]);
}

std::optional<double> median(std::vector<double> values) { return quantile(std::move(values), 0.5); }

std::optional<double> median_absolute_deviation(std::vector<double> values) {
  const std::optional<double> centre = median(values);
  if (!centre) return std::nullopt;
  for (double& value : values) value = std::fabs(value - *centre);
  return median(std::move(values));
}

std::optional<double> lag1_autocorrelation(const std::vector<double>& values) {
  if (values.size() < 2) return std::nullopt;
  const double centre = *mean(values);
  double squares = 0;
  double products = 0;
  for (std::size_t i = 0; i < values.size(); ++i) {
    squares += (values[i] - centre) * (values[i] - centre);
    if (i > 0) products += (values[i - 1] - centre) * (values[i] - centre);
  }
  if (squares == 0) return std::nullopt;
  return products / squares;
}

}  // namespace wrackline
