#include "nutrition/diet_minerals.h"

#include "base/rounding.h"

namespace wrackline {
namespace {


// In millionths of a milligram, exact.
std::optional<Int128> sum_of(const std::vector<DietPart>& parts,
                             std::optional<std::uint32_t> DietPart::*figure_ppm) {
  if (parts.empty()) return std::nullopt;
  Int128 sum = 0;
  for (const DietPart& part : parts) {
    const std::optional<std::uint32_t>& ppm = part.*figure_ppm;
    if (!part.mass_mg || !ppm || *ppm > kPpm) return std::nullopt;
    sum += Int128(*part.mass_mg) * *ppm;
  }
  return sum;
}

}  // namespace

DietMinerals diet_minerals(const std::vector<DietPart>& parts) {
  DietMinerals out;
  const std::optional<Int128> calcium = sum_of(parts, &DietPart::calcium_ppm);
  const std::optional<Int128> phosphorus = sum_of(parts, &DietPart::phosphorus_ppm);
  if (calcium) out.calcium_ug = fit<std::uint64_t>(divide_rounded(*calcium, 1000));
  if (phosphorus) out.phosphorus_ug = fit<std::uint64_t>(divide_rounded(*phosphorus, 1000));
  if (out.calcium_ug && out.phosphorus_ug) {
    out.calcium_per_phosphorus_ppm = ratio_ppm(*calcium, *phosphorus);
  }
  return out;
}

}  // namespace wrackline
