// Density of sea water and specific gravity: the equation of state EOS-80.
//
// Source: Millero & Poisson 1981, Deep-Sea Research 28A:625-629, and its high-pressure form, as printed in
// Fofonoff & Millard 1983, UNESCO Technical Papers in Marine Science 44, pp. 15-19.
#pragma once

#include <cstdint>

#include "base/formula.h"
#include "base/result.h"
#include "water/temperature.h"

namespace wrackline {

inline constexpr Formula kEos80 = {"EOS-80, density of sea water",
                                   "Fofonoff & Millard 1983, UNESCO Tech. Pap. Mar. Sci. 44, pp. 15-19",
                                   "salinity 0 to 42, -2 to 40 degrees C, 0 to 10,000 dbar"};

struct Density {
  std::int64_t density_mg_per_m3 = 0;  // 1023.34306 kg/m3 is 1,023,343,060.
  bool within_validity = false;        // Says whether the input lies within kEos80.validity.
};

// Practical salinity in millionths; the sea's own pressure in thousandths of a decibar, 0 at the surface.
// Errors: kInvalid for what check_salinity(), check_water_temperature() and check_sea_pressure() refuse.
Result<Density> sea_water_density(std::int32_t salinity_millionths, WaterTemperature temperature,
                                  std::uint32_t pressure_mdbar);

// A specific gravity means nothing without the temperature of the pure water it is a ratio to: hydrometers
// are made for different ones. So the reference goes in and comes out with it.
struct SpecificGravity {
  std::int32_t gravity_ppm = 0;  // 1.026373 is 1,026,373.
  WaterTemperature reference = {0, TemperatureScale::kIts90};
  bool within_validity = false;
};

// Density of the water at its temperature per density of pure water at the reference's, both at the surface.
// Errors as above.
Result<SpecificGravity> specific_gravity(std::int32_t salinity_millionths, WaterTemperature temperature,
                                         WaterTemperature reference);

}  // namespace wrackline
