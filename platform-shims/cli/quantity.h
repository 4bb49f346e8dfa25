// Numbers with units, as people write and read them.
//
// The unit of a number is the end of its field's name (proto/records.proto): mass_mg, dose_ug, water_ppm.
// This file reads "1.2kg", "08:30" or "72.05%" into that unit exactly, and prints it back exactly, in the
// unit a person would say. A number without its unit is refused: 350 of what?
#pragma once

#include <cstdint>
#include <string>
#include <string_view>

#include "base/result.h"

namespace wrackline::cli {

enum class Unit {
  kPlain,              // A count: no unit.
  kMassMg,             // mass_mg
  kMassChangeMg,       // change_mg: with its sign, printed also when it is above 0
  kDoseUg,             // dose_ug: printed by the rules for medicines, see print_quantity
  kVolumeUl,           // dose_ul
  kUnits,              // dose_units: units of activity; never printed as U or IU
  kDoseUgPerKg,        // dose_ug_per_kg: of body mass
  kDoseUgPerKgFood,    // dose_ug_per_kg_food: of fish fed as it is; always typed and printed with "food"
  kUnitsPerKgFood,     // dose_units_per_kg_food
  kStrengthUgPerMl,    // strength_ug_per_ml
  kStrengthUgPerUnit,  // strength_ug_per_unit: a tablet or capsule
  kTabletParts,        // unit_parts: 4 is quarters
  kLengthUm,           // length in micrometres
  kVolumeL,            // volume_l
  kClockMin,           // slot_min, slots_min: minutes after local midnight
  kOffsetMin,          // utc_offset_min
  kDurationMin,        // interval_min
  kMinutes,            // minutes: the name says the unit, so a bare number will do
  kSeconds,            // every_s
  kHours,              // every_hours
  kDays,               // age_days
  kInstantMs,          // happened_ms: needs a time zone, see local_time.h
  kDay,                // day, first_day: see local_time.h
  kPpm,                // water_ppm: printed in per cent
  kUgPerG,             // calcium_ug_per_g: printed as tables do, mg per 100 g
  kCalPerG,            // energy_cal_per_g: printed as tables do, kcal per 100 g
  kEnergyCal,          // energy_cal: printed in kcal
  kWeekdays,           // bits 0..6 are Monday..Sunday; 0 is every day
  // What a field's name does not tell, since it depends on what was measured (value_units.h).
  kScore,                // thousandths
  kTemperature,          // millidegrees Celsius
  kSalinity,             // thousandths on the practical salinity scale
  kConductivity,         // microsiemens per centimetre
  kPh,                   // thousandths
  kMassPerL,             // micrograms per litre
  kNitrogenPerL,         // micrograms per litre, as nitrogen
  kChlorinePerL,         // micrograms per litre, as Cl2
  kCarbonatePerL,        // micrograms per litre, as CaCO3
  kRedox,                // millivolts
  kMostProbableNumber,   // per 100 ml
  kTurbidity,            // thousandths of an NTU
  kPressurePa,           // pascals
};

// By the end of the field's name; kPlain when nothing is known of it.
Unit unit_of(std::string_view field_name);

// The field's name without the unit at its end ("mass_mg" -> "mass"), as people may type it.
std::string_view name_without_unit(std::string_view field_name);

// Errors: kInvalid, with a sentence that says what would be right. kInstantMs is local_time.h's business.
// A decimal comma is a point, where it can be nothing else: "1,2kg" is read, "1,200kg" is asked about.
Result<std::int64_t> parse_quantity(Unit unit, std::string_view text);

// How a value of this unit may be written: "1.2kg, 350g or 5mg".
const char* unit_example(Unit unit);

// Exact and with its unit: "1.2 kg", "350 g", "08:30", "72.05 %". Doses follow the medication-error lists:
// never a trailing zero, always a zero before the point, "units" and "micrograms" in full.
std::string print_quantity(Unit unit, std::int64_t value);

}  // namespace wrackline::cli
