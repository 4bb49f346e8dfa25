// How much of a vitamin a bucket of fish asks for.
//
// Frozen fish has lost vitamin E, and thiaminase in it breaks down thiamine, so both are given by the mass of
// fish fed as it is (Bernard & Allen 1997, NAG Fact Sheet 005, from memory). The amounts are the vet's: a row
// is data, with the name of who set it, and none stands in the code.
#pragma once

#include <cstdint>
#include <optional>
#include <string>

#include "base/result.h"

namespace wrackline {

enum class SupplementUnit : std::uint8_t { kMicrogram, kMilliIu };  // 1 IU is 1000 milli-IU.

struct SupplementRow {
  // The chemical substance, above all for IU: the same IU of two forms of vitamin E are different masses.
  std::string substance;
  SupplementUnit unit = SupplementUnit::kMicrogram;
  std::uint32_t low_per_kg = 0;              // The amount for a kilogram of fish as fed; 25 mg is 25,000 ug.
  std::optional<std::uint32_t> high_per_kg;  // Absent = one amount, not a range.
  std::string set_by;                        // The vet.
  std::string source;
};

struct SupplementAmount {
  std::uint64_t low = 0;   // In the row's unit, to the nearest.
  std::uint64_t high = 0;  // The same as low when the row has no range.
  SupplementUnit unit = SupplementUnit::kMicrogram;
  std::string substance;
};

// For a mass of fish as fed, thawed and before anything is taken off it.
// Errors: kInvalid for a row without substance, amount, or the name of who set it, with its high below its
// low, or an amount too large to say.
Result<SupplementAmount> supplement_for_fish(const SupplementRow& row, std::uint64_t fish_mg);

// How strong a substance is, so that IU become a mass.
struct IuStrength {
  std::string substance;
  std::uint64_t milli_iu_per_mg = 0;  // 1.49 IU/mg is 1490.
  std::string source;
};

// Micrograms of the substance. Errors: kInvalid when the strength is of another substance than the amount, is
// 0, or has no source; when the substance is not named; when the answer is too large to say.
Result<std::uint64_t> micrograms_from_milli_iu(std::uint64_t milli_iu, const std::string& substance,
                                               const IuStrength& strength);

}  // namespace wrackline
