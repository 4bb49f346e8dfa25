// How much oxygen water holds in balance with moist air, and how near to that a reading is.
//
// Source: Benson & Krause 1984, Limnology and Oceanography 29:620-632, adopted by the USGS (Office of Water
// Quality Technical Memorandum 2011.03) and by Standard Methods 4500-O.
#pragma once

#include <cstdint>
#include <optional>

#include "base/formula.h"
#include "base/result.h"

namespace wrackline {

inline constexpr Formula kBensonKrause = {"Benson & Krause 1984, oxygen saturation",
                                          "Benson & Krause 1984, Limnol. Oceanogr. 29:620-632",
                                          "salinity 0 to 40, 0 to 40 degrees C, 0.5 to 1.1 atm"};

inline constexpr std::uint32_t kStandardAtmospherePa = 101'325;

struct OxygenSaturation {
  std::int64_t saturation_ng_per_l = 0;  // 6.772116 mg/L is 6,772,116.
  bool within_validity = false;          // Says whether the input lies within kBensonKrause.validity.
};

// The pressure is the air's own at the water, in pascal: what a barometer in the room shows, not the weather
// service's figure, which is brought down to sea level (1 mmHg is 133.322 Pa). The scale of the temperature
// does not matter here: the two differ by less than the formula's own spread.
// Errors: kInvalid for what check_salinity() and check_water_temperature() refuse, and for a pressure outside
// 30,000 to 200,000 Pa, which is most often one in hPa or mmHg.
Result<OxygenSaturation> oxygen_saturation(std::int32_t temperature_mdegc, std::int32_t salinity_millionths,
                                           std::uint32_t air_pressure_pa);

// A reading per saturation in parts per million: 95 % is 950,000. It may be above 100 %. Nothing for a
// reading below 0 or an answer too large to say. Whether the saturation was within validity is for the caller
// to show.
std::optional<std::int32_t> oxygen_saturated_ppm(std::int64_t oxygen_ng_per_l, OxygenSaturation saturation);

}  // namespace wrackline
