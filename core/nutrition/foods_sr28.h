// Compositions of foods from a public table, so that a facility can begin with them.
//
// Source: USDA National Nutrient Database for Standard Reference, release 28 (2015), in the public domain;
// raw, edible portion. People's food, not whole fish as animals get it: bones and guts are not in it, so
// calcium above all is too low for whole prey (common practice, no source). A facility's own analysis is
// better; capelin is not in the table at all.
//
// The release belongs to the figures: later ones differ (kale is one). Two rows do not add up in the table
// itself, Pacific herring (104 in 100) and Atlantic mackerel (97); they are kept as printed, and
// sum_proximates() says so.
#pragma once

#include <array>
#include <cstdint>
#include <optional>

#include "nutrition/atwater.h"

namespace wrackline {

inline constexpr const char* kSr28Source =
    "USDA National Nutrient Database for Standard Reference, release 28 (2015), raw edible portion";

struct TableFood {
  const char* name;
  std::uint32_t ndb_number;        // The table's own number of the food.
  std::uint32_t energy_cal_per_g;  // The figure as printed: 158 kcal in 100 g is 1580.
  Proximates proximates;
  std::optional<std::uint32_t> calcium_ppm;  // 57 mg in 100 g is 570.
  std::optional<std::uint32_t> phosphorus_ppm;
  // The factors printed with the food (green pepper, Pacific herring and mixed shrimp: those of their kind,
  // which give their printed energy too); absent where the table prints none.
  std::optional<AtwaterFactors> specific_factors;
};

extern const std::array<TableFood, 12> kFoodsSr28;

}  // namespace wrackline
