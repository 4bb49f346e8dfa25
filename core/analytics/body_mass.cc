#include "analytics/body_mass.h"

#include "base/rounding.h"

namespace wrackline {

std::optional<BodyMassOnDay> body_mass_on(Day day, const std::vector<BodyMass>& weighings) {
  const BodyMass* before = nullptr;  // On the day or the nearest before it.
  const BodyMass* after = nullptr;   // The nearest after it.
  for (const BodyMass& weighing : weighings) {
    if (weighing.mass_mg == 0) continue;
    if (weighing.day <= day) {
      if (before == nullptr || weighing.day >= before->day) before = &weighing;
    } else if (after == nullptr || weighing.day <= after->day) {
      after = &weighing;
    }
  }
  if (before == nullptr) return std::nullopt;
  BodyMassOnDay out;
  out.mass_mg = before->mass_mg;
  out.age_days = static_cast<std::uint32_t>(std::int64_t{day} - before->day);
  if (out.age_days == 0) return out;
  out.basis = BodyMassBasis::kCarried;
  if (after == nullptr) return out;
  out.basis = BodyMassBasis::kBetween;
  const std::int64_t span_days = std::int64_t{after->day} - before->day;
  const Int128 change_mg = Int128(after->mass_mg) - before->mass_mg;
  // Between two masses that fit.
  out.mass_mg =
      static_cast<std::uint64_t>(before->mass_mg + divide_rounded(change_mg * out.age_days, span_days));
  return out;
}

}  // namespace wrackline
