#include "analytics/line_fit.h"

#include <cmath>

#include "analytics/descriptive.h"

namespace wrackline {

std::optional<LineFit> fit_line(const std::vector<Point>& points) {
  if (points.size() < 2) return std::nullopt;
  std::vector<double> xs;
  std::vector<double> ys;
  for (const Point& point : points) {
    xs.push_back(point.x);
    ys.push_back(point.y);
  }
  const double x_mean = *mean(xs);
  const double y_mean = *mean(ys);
  // About the means: sums of raw squares would lose the digits that matter.
  double sxx = 0;
  double sxy = 0;
  double syy = 0;
  for (const Point& point : points) {
    sxx += (point.x - x_mean) * (point.x - x_mean);
    sxy += (point.x - x_mean) * (point.y - y_mean);
    syy += (point.y - y_mean) * (point.y - y_mean);
  }
  if (sxx == 0) return std::nullopt;
  LineFit fit;
  fit.count = points.size();
  fit.slope = sxy / sxx;
  fit.intercept = y_mean - fit.slope * x_mean;
  for (const Point& point : points) {
    const double residual = (point.y - y_mean) - fit.slope * (point.x - x_mean);
    fit.residual_ss += residual * residual;
  }
  if (syy > 0) fit.r2 = 1 - fit.residual_ss / syy;
  if (fit.count > 2) {
    const double n = static_cast<double>(fit.count);
    fit.residual_sd = std::sqrt(fit.residual_ss / (n - 2));
    fit.slope_sd = *fit.residual_sd / std::sqrt(sxx);
    fit.intercept_sd = *fit.residual_sd * std::sqrt(1 / n + x_mean * x_mean / sxx);
  }
  return fit;
}

}  // namespace wrackline
