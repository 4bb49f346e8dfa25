#include "analytics/attention.h"

#include <algorithm>

#include "base/rounding.h"

namespace wrackline {
namespace {

// The mass that came back, without the water it took up.
Int128 left_mg(const IntakePortion& portion) {
  const std::uint32_t soak_ppm = portion.soak_ppm.value_or(0);
  return soak_ppm == 0 ? Int128(*portion.left_mg)
                       : divide_rounded(Int128(*portion.left_mg) * 1'000'000, soak_ppm);
}

}  // namespace

Eaten eaten_of(const std::vector<IntakePortion>& portions) {
  bool all_known = true, any_offered = false;
  for (const IntakePortion& portion : portions) {
    if (!portion.offered_mg || !portion.left_mg) {
      all_known = false;
      continue;
    }
    any_offered = any_offered || *portion.offered_mg > 0;
    if (left_mg(portion) < Int128(*portion.offered_mg)) return Eaten::kSomething;
  }
  return all_known && any_offered ? Eaten::kNothing : Eaten::kNotKnown;
}

bool is_left_above_offered(const IntakePortion& portion) {
  return portion.offered_mg && portion.left_mg && left_mg(portion) > Int128(*portion.offered_mg);
}

std::optional<NotEating> not_eating(const std::vector<FedMeal>& meals, WallMs now_ms) {
  std::optional<WallMs> since_ms;
  std::optional<std::size_t> last_refused;
  for (std::size_t i = 0; i < meals.size() && meals[i].at_ms <= now_ms; ++i) {
    if (meals[i].eaten == Eaten::kNothing) {
      if (!since_ms) since_ms = meals[i].at_ms;
      last_refused = i;
    } else {
      since_ms = meals[i].at_ms;
      last_refused.reset();
    }
  }
  if (!last_refused || now_ms - *since_ms <= kNotEatingMs) return std::nullopt;
  return NotEating{*since_ms, *last_refused};
}

std::optional<WallMs> not_fed(std::optional<WallMs> last_meal_ms, const std::vector<WallMs>& planned_ms,
                              WallMs now_ms) {
  const auto planned = std::find_if(planned_ms.begin(), planned_ms.end(),
                                    [&](WallMs at_ms) { return !last_meal_ms || at_ms > *last_meal_ms; });
  if (planned == planned_ms.end() || *planned > now_ms) return std::nullopt;
  const WallMs since_ms = last_meal_ms.value_or(*planned);
  if (now_ms - since_ms <= kNotEatingMs) return std::nullopt;
  return since_ms;
}

}  // namespace wrackline
