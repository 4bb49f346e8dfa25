// Estimates of the energy an animal needs in a day.
//
// An estimate is a place to begin thinking and never a ration: the vet sets what is fed, and what the animal
// really eats and weighs says more. So each carries its formula, its source and a caution, none becomes a
// target by itself, and where sources disagree there is no default.
#pragma once

#include <cstdint>
#include <optional>
#include <string>

#include "base/formula.h"
#include "base/result.h"

namespace wrackline {

struct EnergyEstimate {
  std::uint64_t energy_cal_per_day = 0;  // cal, not kcal.
  Formula formula;                       // Its name is the equation as it was used.
  // Says whether the figures lie within formula.validity; absent where the source gives no range.
  std::optional<bool> within_validity;
  std::optional<std::int32_t> temperature_mdegc;  // Absent for endotherms.
  std::string accepted_by;                        // Empty for endotherms.
  const char* caution = nullptr;                  // To be shown wherever the figure is.
};

// Resting energy of mammals and birds, 70 kcal a day for each kg^0.75.
inline constexpr Formula kEndothermResting = {"70 * (body mass in kg)^0.75 kcal a day, at rest",
                                              "Kleiber 1961, The Fire of Life",
                                              "mammals from 20 g to 600 kg (from memory)"};

// Errors: kInvalid for a body mass of 0.
Result<EnergyEstimate> endotherm_resting_energy(std::uint64_t body_mass_mg);

// Published formulas for reptiles differ by more than three times, since metabolism follows the temperature
// and the kind. (A page that prints 10 * (body mass in g)^0.75 kJ, 425 kcal a day for 1 kg, is not offered:
// it is more than ten times the others.)
enum class ReptileFormula : std::uint8_t {
  kNotChosen,
  kExponent077,  // 32 * kg^0.77
  kTenKleiber,   // 10 * kg^0.75
};

inline constexpr Formula kReptileExponent077 = {
    "32 * (body mass in kg)^0.77 kcal a day",
    "attributed to Donoghue & McKeown 1999; the equation is from memory, not checked against the article",
    "the source gives no range"};
inline constexpr Formula kReptileTenKleiber = {"10 * (body mass in kg)^0.75 kcal a day",
                                               "a husbandry page of 2000, with K = 10 for reptiles",
                                               "the source gives no range"};

struct ReptileEnergyRequest {
  std::uint64_t body_mass_mg = 0;
  ReptileFormula formula = ReptileFormula::kNotChosen;
  // The temperature of the animal's surroundings, when it was estimated.
  std::optional<std::int32_t> temperature_mdegc;
  std::string accepted_by;  // The vet or curator who accepted this formula for this animal.
};

// The temperature does not enter the figure; it stands beside it, so that nobody carries it to colder water.
// Errors: kInvalid for a body mass of 0, no formula chosen, no temperature or one outside -5 to 50 degrees C,
// or nobody's name.
Result<EnergyEstimate> reptile_energy(const ReptileEnergyRequest& request);

}  // namespace wrackline
