#include "water/temperature.h"

#include <string>

namespace wrackline {

double degrees_ipts68(WaterTemperature temperature) {
  const double degrees = temperature.mdegc / 1000.0;
  return temperature.scale == TemperatureScale::kIpts68 ? degrees : degrees * 1.00024;
}

Status check_water_temperature(std::int32_t mdegc, const char* doing) {
  if (mdegc < -5'000 || mdegc > 50'000) {
    return fail(ErrorCode::kInvalid,
                std::string(doing) +
                    ": the temperature is below -5 or above 50 degrees C; look whether it "
                    "was read in degrees F");
  }
  return {};
}

}  // namespace wrackline
