#include "analytics/proportion.h"

#include <cmath>

namespace wrackline {

std::optional<ShareInterval> wilson_interval(std::uint64_t successes, std::uint64_t trials, double z) {
  if (trials == 0 || successes > trials) return std::nullopt;
  const double n = static_cast<double>(trials);
  ShareInterval out;
  out.share = static_cast<double>(successes) / n;
  const double centre = out.share + z * z / (2 * n);
  const double half_width = z * std::sqrt(out.share * (1 - out.share) / n + z * z / (4 * n * n));
  const double scale = 1 + z * z / n;
  // At the ends the bound is the end itself; the subtraction would leave a trace of rounding.
  out.lower = successes == 0 ? 0 : (centre - half_width) / scale;
  out.upper = successes == trials ? 1 : (centre + half_width) / scale;
  return out;
}

}  // namespace wrackline
