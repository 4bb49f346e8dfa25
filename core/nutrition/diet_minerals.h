// Calcium and phosphorus of a whole diet, and how they stand to each other.
//
// The ratio of a diet is the ratio of its sums, not the mean of its foods' ratios: a little of a leaf rich in
// calcium does not mend a diet of fish. Supplements count only if they are listed as foods.
#pragma once

#include <cstdint>
#include <optional>
#include <vector>

namespace wrackline {

struct DietPart {
  std::optional<std::uint64_t> mass_mg;      // The mass as fed. Absent = not weighed.
  // The share of the mass as fed: 57 mg in 100 g is 570. Absent = not known.
  std::optional<std::uint32_t> calcium_ppm;
  std::optional<std::uint32_t> phosphorus_ppm;
};

struct DietMinerals {
  // Micrograms. Absent when any part's mass or figure is not known, even if the mass is 0, or above
  // 1,000,000 ppm; and when the sum is too large to say. Without any parts nothing is known either.
  std::optional<std::uint64_t> calcium_ug;
  std::optional<std::uint64_t> phosphorus_ug;
  // Calcium per phosphorus by mass: 0.2271 to 1 is 227,100. Absent when either sum is, or there is no
  // phosphorus. From the exact sums, not the rounded ones.
  std::optional<std::int32_t> calcium_per_phosphorus_ppm;
};

DietMinerals diet_minerals(const std::vector<DietPart>& parts);

}  // namespace wrackline
