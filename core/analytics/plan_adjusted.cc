#include "analytics/plan_adjusted.h"

#include "analytics/descriptive.h"
#include "analytics/scaled.h"
#include "base/rounding.h"

namespace wrackline {

PlanAdjusted adjust_to_plan(const WholeSeries& eaten_mg,
                            const std::vector<std::optional<std::uint64_t>>& planned_mg) {
  PlanAdjusted out;
  out.judged_mg = eaten_mg;
  std::vector<double> plans;
  for (std::size_t i = 0; i < eaten_mg.size(); ++i) {
    if (eaten_mg[i] && planned_mg[i] && *planned_mg[i] > 0)
      plans.push_back(static_cast<double>(*planned_mg[i]));
  }
  if (const auto usual = median(plans)) out.usual_plan_mg = to_scaled(*usual, 1);
  for (std::size_t i = 0; i < eaten_mg.size(); ++i) {
    if (!eaten_mg[i] || !planned_mg[i]) continue;
    out.judged_mg[i] =
        *planned_mg[i] == 0 || !out.usual_plan_mg
            ? std::nullopt
            : fit<std::int64_t>(divide_rounded(Int128(*eaten_mg[i]) * *out.usual_plan_mg, *planned_mg[i]));
  }
  return out;
}

}  // namespace wrackline
