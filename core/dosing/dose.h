// The arithmetic of an ordered dose: from mass for each kilogram to what is drawn up or counted out.
//
//   dose        = dose for each kilogram * body mass
//   volume      = dose / strength
//   units       = dose / what one tablet or capsule holds
//   measurable  = the nearest amount that the syringe's scale or the tablet's score allows
//
// Exact until it is measured; then the exact amount, the measurable one and the difference between them stand
// side by side, and a person judges whether the difference matters. This informs: drug, dose and rounding
// are the vet's. Nothing here scales a dose from one species or size to another.
//
// Inputs are whole numbers in the unit of their name. Errors, for all: kInvalid, with a sentence that says
// what would be right. The formulas are arithmetic taught with every pharmacy course; the worked examples in
// tests/reference have their sources.
#pragma once

#include <cstdint>

#include "dosing/exact_amount.h"

namespace wrackline {

// Bounds that only a mixed-up unit oversteps. No source; common sense.
inline constexpr std::uint64_t kDosePerKgUgMax = 1'000'000'000;         // 1 kg for each kg of animal
inline constexpr std::uint64_t kDoseBodyMassMgMax = 1'000'000'000'000;  // 1000 t, a whole group together
inline constexpr std::uint64_t kDoseMassUgMax = 1'000'000'000'000;      // 1000 kg of drug
inline constexpr std::uint64_t kDoseVolumeUlMax = 1'000'000'000;        // 1000 L

// How much drug a volume holds, as the label says it: 50 mg in 1 mL, 125 mg in 3 mL. A quotient, since the
// second is no whole number of micrograms in a millilitre.
struct Strength {
  std::uint64_t mass_ug = 0;
  std::uint64_t volume_ul = 0;
};

// The same for a drug that is measured in units of activity. They are units of this one substance and are
// never turned into a mass.
struct UnitStrength {
  std::uint64_t units = 0;
  std::uint64_t volume_ul = 0;
};

inline Strength strength_per_ml(std::uint64_t ug) { return {ug, 1000}; }

// Per cent weight in volume: 1 % is 10 mg in a millilitre. `percent_milli` is thousandths of a per cent.
inline Strength strength_of_percent(std::uint32_t percent_milli) {
  return {std::uint64_t{percent_milli} * 10, 1000};
}

// The avoirdupois pound is 0.45359237 kg exactly; a sheet that divides by 2.2 is 0.2 % off. Thousandths of a
// pound in, nearest milligram out.
Result<std::uint64_t> mass_mg_of_pounds(std::uint64_t pounds_milli);

// The amount that the whole animal gets, in micrograms.
Result<ExactAmount> dose_by_body_mass_ug(std::uint64_t dose_per_kg_ug, std::uint64_t body_mass_mg);

// Microlitres that hold the dose.
Result<ExactAmount> volume_of_dose_ul(const ExactAmount& dose_ug, const Strength& strength);
Result<ExactAmount> volume_of_units_ul(const ExactAmount& dose_units, const UnitStrength& strength);

// Tablets or capsules that hold the dose, each of `each_ug`.
Result<ExactAmount> tablets_of_dose(const ExactAmount& dose_ug, std::uint64_t each_ug);

// The way back: the drug in a volume or in tablets, to say what the animal really gets after rounding.
Result<ExactAmount> dose_in_volume_ug(const ExactAmount& volume_ul, const Strength& strength);
Result<ExactAmount> dose_in_tablets_ug(const ExactAmount& tablets, std::uint64_t each_ug);

// An amount as it can be measured.
struct MeasurableAmount {
  ExactAmount exact;
  ExactAmount rounded;              // Same unit as `exact`: a whole number of steps.
  std::uint64_t steps = 0;          // > 0
  std::int32_t difference_ppm = 0;  // (rounded - exact) / exact; above 0 = more than was ordered
};

// To the nearest step of the scale, halves away from zero: 0.125 mL at steps of 0.05 mL is 0.15 mL. An
// amount that would round to nothing is refused: a finer scale, a dilution or another form is the vet's call.
Result<MeasurableAmount> measurable_volume(const ExactAmount& volume_ul, std::uint64_t step_ul);

// A form may be parted into these. The value is the number of parts in a whole.
enum class TabletParts : std::uint32_t { kWhole = 1, kHalves = 2, kQuarters = 4 };

Result<MeasurableAmount> measurable_tablets(const ExactAmount& tablets, TabletParts parts);

// For an amount that a person chose: whether the form can be parted so. Two thirds of a tablet cannot be
// measured; three quarters of a tablet scored once cannot either.
Status check_tablets(const ExactAmount& tablets, TabletParts parts);

}  // namespace wrackline
