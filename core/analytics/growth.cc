#include "analytics/growth.h"

#include <cmath>

#include "analytics/scaled.h"
#include "base/rounding.h"

namespace wrackline {

std::optional<double> percent_change(double first, double last) {
  if (!(first > 0)) return std::nullopt;
  return 100 * (last - first) / first;
}

std::optional<double> specific_growth_rate(double first, double last, std::int64_t days) {
  if (!(first > 0 && last > 0) || days <= 0) return std::nullopt;
  return 100 * (std::log(last) - std::log(first)) / static_cast<double>(days);
}

std::optional<double> absolute_growth_rate(double first, double last, std::int64_t days) {
  if (days <= 0) return std::nullopt;
  return (last - first) / static_cast<double>(days);
}

std::optional<Growth> growth_between(const BodyMass& first, const BodyMass& last) {
  Growth out;
  out.days = std::int64_t{last.day} - first.day;
  if (out.days <= 0 || first.mass_mg == 0 || last.mass_mg == 0) return std::nullopt;
  const Int128 change_mg = Int128(last.mass_mg) - first.mass_mg;
  out.change_ppm = ratio_ppm(change_mg, first.mass_mg);
  out.change_mg_per_day = fit<std::int64_t>(divide_rounded(change_mg, out.days));
  const std::optional<double> percent_per_day =
      specific_growth_rate(static_cast<double>(first.mass_mg), static_cast<double>(last.mass_mg), out.days);
  if (percent_per_day) out.sgr_ppb_per_day = to_scaled(*percent_per_day, 10'000'000);
  return out;
}

}  // namespace wrackline
