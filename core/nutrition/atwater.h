// The energy of a food from its composition, and whether that composition adds up.
//
// Source: Merrill & Watt 1973, Energy Value of Foods, USDA Agriculture Handbook 74. The energy is what
// people, or dogs and cats for the modified factors, get out of it; for other animals it is an estimate to
// compare foods by.
#pragma once

#include <cstdint>
#include <optional>

namespace wrackline {

// Mass fractions as fed, parts per million: 17.96 g in 100 g is 179,600. Absent = not known, never 0; above
// 1,000,000 counts as not known.
struct Proximates {
  std::optional<std::uint32_t> water_ppm;
  std::optional<std::uint32_t> protein_ppm;
  std::optional<std::uint32_t> fat_ppm;
  std::optional<std::uint32_t> carbohydrate_ppm;  // Found by difference, fibre included.
  std::optional<std::uint32_t> ash_ppm;
  std::optional<std::uint32_t> fibre_ppm;  // Part of the carbohydrate.
};

enum class AtwaterKind : std::uint8_t { kGeneral, kSpecific, kModified };

struct AtwaterFactors {
  AtwaterKind kind = AtwaterKind::kGeneral;
  std::uint32_t protein_cal_per_g = 0;  // cal, not kcal: 4.27 kcal/g is 4270.
  std::uint32_t fat_cal_per_g = 0;
  // The factor for the whole carbohydrate, except for the modified factors: those are of carbohydrate without
  // fibre, so that a food whose fibre is not known has no modified energy.
  std::uint32_t carbohydrate_cal_per_g = 0;
};

// 4, 9 and 4 kcal/g.
inline constexpr AtwaterFactors kAtwaterGeneral = {AtwaterKind::kGeneral, 4000, 9000, 4000};
// 3.5, 8.5 and 3.5 kcal/g, for pet foods (AAFCO; from memory).
inline constexpr AtwaterFactors kAtwaterModified = {AtwaterKind::kModified, 3500, 8500, 3500};
// Specific factors stand with each food in food tables; see nutrition/foods_sr28.h.

struct AtwaterEnergy {
  std::uint64_t energy_cal_per_kg = 0;  // 158.23 kcal in 100 g is 1,582,300.
  std::uint32_t energy_cal_per_g = 0;   // The same, as foods are recorded; rounded from the exact figure.
  AtwaterFactors factors;
};

// Nothing when a fraction it needs is not known, or fibre is more than the carbohydrate it is part of.
std::optional<AtwaterEnergy> atwater_energy(const Proximates& food, const AtwaterFactors& factors);

// Water, protein, fat, carbohydrate and ash ought to be the whole food. Between 99 and 101 in a hundred is
// taken as that, which is the rounding of tables (common practice, no source).
struct ProximatesSum {
  std::optional<std::uint32_t> sum_ppm;  // Absent when a part is not known.
  bool adds_up = false;                  // False too when it cannot be told.
};

ProximatesSum sum_proximates(const Proximates& food);

}  // namespace wrackline
