#include "water/oxygen.h"

#include <cmath>

#include "base/real.h"
#include "water/salinity.h"

namespace wrackline {
namespace {

// mg/L under one atmosphere of moist air; t in degrees C.
double at_one_atmosphere(double t, double s) {
  const double k = t + 273.15;
  const double fresh =
      -139.34411 + (1.575701e5 + (-6.642308e7 + (1.243800e10 - 8.621949e11 / k) / k) / k) / k;
  return std::exp(fresh - s * (0.017674 + (-10.754 + 2140.7 / k) / k));
}

// The share of it that is left under p atmospheres.
double by_pressure(double t, double p) {
  const double k = t + 273.15;
  const double vapour = std::exp(11.8571 + (-3840.70 - 216961.0 / k) / k);
  const double theta = 0.000975 + t * (-1.426e-5 + t * 6.436e-8);
  return (p - vapour) * (1.0 - theta * p) / ((1.0 - vapour) * (1.0 - theta));
}

}  // namespace

Result<OxygenSaturation> oxygen_saturation(std::int32_t temperature_mdegc, std::int32_t salinity_millionths,
                                           std::uint32_t air_pressure_pa) {
  constexpr const char* kDoing = "computing oxygen saturation";
  WRACKLINE_TRY(check_water_temperature(temperature_mdegc, kDoing));
  WRACKLINE_TRY(check_salinity(salinity_millionths, kDoing));
  if (air_pressure_pa < 30'000 || air_pressure_pa > 200'000) {
    return fail(
        ErrorCode::kInvalid,
        "computing oxygen saturation: the air pressure is that of no place people work in; give it in "
        "pascal, 1013.25 hPa or 760 mmHg as 101,325");
  }
  const double t = temperature_mdegc / 1000.0;
  const double atmospheres = static_cast<double>(air_pressure_pa) / kStandardAtmospherePa;
  const double mg_per_l = at_one_atmosphere(t, salinity_millionths / 1e6) * by_pressure(t, atmospheres);
  const std::optional<std::int64_t> ng_per_l = whole<std::int64_t>(mg_per_l * 1e6);
  if (!ng_per_l) {
    return fail(ErrorCode::kInvalid, "computing oxygen saturation: the figure is too large to say");
  }
  OxygenSaturation out;
  out.saturation_ng_per_l = *ng_per_l;
  out.within_validity = temperature_mdegc >= 0 && temperature_mdegc <= 40'000 &&
                        salinity_millionths <= 40'000'000 && atmospheres >= 0.5 && atmospheres <= 1.1;
  return out;
}

std::optional<std::int32_t> oxygen_saturated_ppm(std::int64_t oxygen_ng_per_l, OxygenSaturation saturation) {
  if (oxygen_ng_per_l < 0) return std::nullopt;
  return ratio_ppm(oxygen_ng_per_l, saturation.saturation_ng_per_l);
}

}  // namespace wrackline
