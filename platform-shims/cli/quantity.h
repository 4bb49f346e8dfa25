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
  kPlain,        // A count: no unit.
  kMassMg,       // mass_mg
  kDoseUg,       // dose_ug: printed by the rules for medicines, see print_quantity
  kVolumeUl,     // dose_ul
  kUnits,        // dose_units: units of activity; never printed as U or IU
  kLengthUm,     // length in micrometres
  kVolumeL,      // volume_l
  kClockMin,     // slot_min, slots_min: minutes after local midnight
  kOffsetMin,    // utc_offset_min
  kDurationMin,  // interval_min
  kDays,         // age_days
  kInstantMs,    // happened_ms: needs a time zone, see local_time.h
  kDay,          // day, first_day: see local_time.h
  kPpm,          // water_ppm: printed in per cent
  kCalPerG,      // energy_cal_per_g: printed as tables do, kcal per 100 g
  kEnergyCal,    // energy_cal: printed in kcal
  kWeekdays,     // bits 0..6 are Monday..Sunday; 0 is every day
};

// By the end of the field's name; kPlain when nothing is known of it.
Unit unit_of(std::string_view field_name);

// The field's name without the unit at its end ("mass_mg" -> "mass"), as people may type it.
std::string_view name_without_unit(std::string_view field_name);

// Errors: kInvalid, with a sentence that says what would be right. kInstantMs is local_time.h's business.
Result<std::int64_t> parse_quantity(Unit unit, std::string_view text);

// Exact and with its unit: "1.2 kg", "350 g", "08:30", "72.05 %". Doses follow the medication-error lists:
// never a trailing zero, always a zero before the point, "units" and "micrograms" in full.
std::string print_quantity(Unit unit, std::int64_t value);

}  // namespace wrackline::cli
