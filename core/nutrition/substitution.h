// This file says what to weigh of another food when one on the plan has run out.
//
// Equal energy keeps the calories and changes water, minerals and vitamins; equal mass keeps the routine and
// may change the calories twofold. The result shows both energies, and whether the food may be swapped at all
// is the word of whoever approved the plan.
#pragma once

#include <cstdint>
#include <optional>

#include "base/result.h"

namespace wrackline {

enum class SubstitutionRule : std::uint8_t { kEqualMass, kEqualEnergy };

struct SubstitutionInput {
  SubstitutionRule rule = SubstitutionRule::kEqualMass;
  // The mass of the missing food that the plan asks for.
  std::uint64_t missing_mg = 0;
  std::optional<std::uint32_t> missing_energy_cal_per_g;  // cal, not kcal. Absent = not known.
  std::optional<std::uint32_t> substitute_energy_cal_per_g;
};

struct Substitution {
  std::uint64_t substitute_mg = 0;
  // Absent where the food's energy is not known. They go by the rounded mass, so that they say what is on the scale.
  std::optional<std::uint64_t> missing_energy_cal;
  std::optional<std::uint64_t> substitute_energy_cal;
};

// The mass to the nearest milligram; the scale's step is applied where it is weighed.
// Errors: kInvalid for a mass of 0, and for equal energy when either food's energy is not known or is 0, or
// the mass is too large to say.
Result<Substitution> substitute(const SubstitutionInput& input);

}  // namespace wrackline
