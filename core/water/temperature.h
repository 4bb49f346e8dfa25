// Temperatures of water: their unit, their scale, and which ones a formula takes in.
#pragma once

#include <cstdint>
#include <optional>

#include "base/result.h"
#include "base/rounding.h"

namespace wrackline {

// Two scales: 15 degrees C of ITS-90 are 15.0036 of IPTS-68, which is 0.003 in salinity. Instruments of today
// read ITS-90; formulas of 1978 to 1983 are written in IPTS-68 and convert by themselves.
enum class TemperatureScale : std::uint8_t { kIts90, kIpts68 };

// The scale has to be said, so there is no default.
struct WaterTemperature {
  std::int32_t mdegc;  // Thousandths of a degree C: 24.5 is 24500.
  TemperatureScale scale;
};

// Degrees C of IPTS-68, 1.00024 times ITS-90 (Saunders 1990, from memory; the factor oceanographic libraries
// use).
double degrees_ipts68(WaterTemperature temperature);

// Thousandths of a degree F into thousandths of a degree C, (F - 32) / 1.8, to the nearest. Nothing below
// absolute zero, where no reading is.
constexpr std::optional<std::int32_t> mdegc_from_mdegf(std::int64_t mdegf) {
  const Int128 mdegc = divide_rounded((Int128(mdegf) - 32'000) * 5, 9);
  if (mdegc < -273'150) return std::nullopt;
  return fit<std::int32_t>(mdegc);
}

// Refuses, with kInvalid, what no pool's water has: below -5 or above 50 degrees C. Most often that is a
// reading in degrees F. `doing` begins the message: "computing salinity".
Status check_water_temperature(std::int32_t mdegc, const char* doing);

}  // namespace wrackline
