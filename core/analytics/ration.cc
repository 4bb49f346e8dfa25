#include "analytics/ration.h"

#include <algorithm>

#include "analytics/quartile.h"
#include "base/rounding.h"

namespace wrackline {

std::optional<SuggestedRation> suggest_ration(Day first_day, const WholeSeries& eaten_mg,
                                              std::int64_t step_mg) {
  if (step_mg <= 0) return std::nullopt;
  SuggestedRation out;
  std::vector<std::int64_t> figures;
  for (std::size_t i = 0; i < eaten_mg.size(); ++i) {
    if (!eaten_mg[i]) continue;
    const Day day = static_cast<Day>(std::int64_t{first_day} + static_cast<std::int64_t>(i));
    if (figures.empty()) out.first_day = day;
    out.last_day = day;
    figures.push_back(*eaten_mg[i]);
  }
  if (figures.empty()) return std::nullopt;
  out.days_counted = static_cast<std::uint32_t>(figures.size());
  std::sort(figures.begin(), figures.end());
  const Int128 four_medians = four_times_quartile(figures, 2);
  if (four_medians < 0) return std::nullopt;
  const auto to_step = [&](Int128 four_times) {
    return fit<std::int64_t>(divide_rounded(four_times, 4 * Int128(step_mg)) * step_mg);
  };
  const std::optional<std::int64_t> ration = to_step(four_medians);
  const std::optional<std::int64_t> lower = to_step(four_times_quartile(figures, 1));
  const std::optional<std::int64_t> upper = to_step(four_times_quartile(figures, 3));
  if (!ration || !lower || !upper || !fit<std::int64_t>(Int128(*upper) - *lower)) return std::nullopt;
  out.ration_mg = *ration;
  out.lower_quartile_mg = *lower;
  out.upper_quartile_mg = *upper;
  return out;
}

}  // namespace wrackline
