// Practical salinity of sea water from its conductivity: the scale PSS-78.
//
// Source: Practical Salinity Scale 1978, as printed in Fofonoff & Millard 1983, UNESCO Technical Papers in
// Marine Science 44, pp. 6-12. Practical salinity is a pure number, near the grams of salt in a kilogram.
#pragma once

#include <cstdint>

#include "base/formula.h"
#include "base/result.h"
#include "water/temperature.h"

namespace wrackline {

inline constexpr Formula kPss78 = {"PSS-78, practical salinity",
                                   "Fofonoff & Millard 1983, UNESCO Tech. Pap. Mar. Sci. 44, pp. 6-12",
                                   "salinity 2 to 42, -2 to 35 degrees C, 0 to 10,000 dbar"};

// Meters show one or the other; a thousand lies between them, so it is said with the figure.
enum class ConductivityUnit : std::uint8_t { kMicrosiemensPerCm, kMillisiemensPerCm };

// The conductivity at the water's own temperature. A meter that shows "conductivity at 25 degrees C" has
// corrected its reading already, and that figure must not be used here.
struct Conductivity {
  std::uint64_t thousandths;  // Thousandths of the unit: 50 mS/cm is {50000, kMillisiemensPerCm}.
  ConductivityUnit unit;
};

struct Salinity {
  std::int32_t salinity_millionths = 0;  // 35 is 35,000,000.
  // Says whether the input lies within kPss78.validity. Outside it the figure is an extrapolation.
  bool within_validity = false;
};

// Conductivity of the water per that of water of salinity 35, 15 degrees C (IPTS-68) and no pressure, in
// thousand-millionths. The pressure is the sea's own in thousandths of a decibar, 0 at the surface; a metre
// of depth is near 1 dbar (and 1 bar is 10 dbar). Errors: kInvalid for no conductivity (a dry probe), for a
// ratio above 3, a temperature that check_water_temperature() refuses, or a pressure above 11,000 dbar,
// deeper than any sea.
Result<Salinity> salinity_from_ratio(std::uint64_t ratio_ppb, WaterTemperature temperature,
                                     std::uint32_t pressure_mdbar);

// The same with C(35, 15, 0) = 42.914 mS/cm (Culkin & Smith 1980, from memory; used by oceanographic
// libraries).
Result<Salinity> salinity_from_conductivity(Conductivity conductivity, WaterTemperature temperature,
                                            std::uint32_t pressure_mdbar);

// Refuses, with kInvalid, a salinity below 0 or above 100: a slip of the unit. `doing` begins the message.
Status check_salinity(std::int32_t salinity_millionths, const char* doing);

// Refuses, with kInvalid, a sea pressure above 11,000 dbar.
Status check_sea_pressure(std::uint32_t pressure_mdbar, const char* doing);

}  // namespace wrackline
