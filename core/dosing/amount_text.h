// Amounts of medicine in words that cannot be misread.
//
// Never a zero at the end behind the point (5 mg, not 5.0), always one before it (0.5 mg, not .5); micrograms
// and units in full. After the Joint Commission's official "Do Not Use" list (trailing zero, lack of leading
// zero, U, IU); parts of a tablet in words, since "1 1/2" is read as 11/2 (common practice, no source).
//
// An amount that has no end in decimals is rounded to six and says so: "about 1.333333 mL". One that is none
// (dosing/exact_amount.h, is_usable) is "no amount".
#pragma once

#include <string>
#include <string_view>

#include "dosing/dose.h"

namespace wrackline {

// "50 micrograms", "0.5 mg", "62 mg", "1.2 g": below 0.1 mg in micrograms, from 1 g on in grams.
std::string dose_mass_text(const ExactAmount& dose_ug);
// "1.24 mL"
std::string dose_volume_text(const ExactAmount& volume_ul);
// "200 units", "1 unit": units of activity of the one substance.
std::string dose_units_text(const ExactAmount& units);
// "half a tablet", "1 and a quarter tablets", "3 tablets"; `noun` is "tablet" or "capsule", to which an s can
// be added. Parts that no tablet has are written in decimals.
std::string tablets_text(const ExactAmount& tablets, std::string_view noun);
// "+20 %", "-0.8 %", "0 %": how far the measurable amount is from the exact one. To a hundredth of a per
// cent.
std::string difference_text(std::int32_t difference_ppm);

}  // namespace wrackline
