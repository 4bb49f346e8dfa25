#include "water/density.h"

#include <cmath>

#include "base/real.h"
#include "water/salinity.h"

namespace wrackline {
namespace {

// kg/m3 at one atmosphere; t in degrees C of IPTS-68.
double density_at_surface(double s, double t) {
  const double pure =
      999.842594 +
      t * (6.793952e-2 + t * (-9.095290e-3 + t * (1.001685e-4 + t * (-1.120083e-6 + t * 6.536332e-9))));
  const double a = 0.824493 + t * (-4.0899e-3 + t * (7.6438e-5 + t * (-8.2467e-7 + t * 5.3875e-9)));
  const double b = -5.72466e-3 + t * (1.0227e-4 + t * -1.6546e-6);
  return pure + s * (a + b * std::sqrt(s) + 4.8314e-4 * s);
}

// Secant bulk modulus in bar; p in bar.
double bulk_modulus(double s, double t, double p) {
  const double root = std::sqrt(s);
  const double pure = 19652.21 + t * (148.4206 + t * (-2.327105 + t * (1.360477e-2 + t * -5.155288e-5)));
  const double at_surface = pure + s * (54.6746 + t * (-0.603459 + t * (1.09987e-2 + t * -6.1670e-5)) +
                                        root * (7.944e-2 + t * (1.6483e-2 + t * -5.3009e-4)));
  const double a = 3.239908 + t * (1.43713e-3 + t * (1.16092e-4 + t * -5.77905e-7)) +
                   s * (2.2838e-3 + t * (-1.0981e-5 + t * -1.6078e-6) + 1.91075e-4 * root);
  const double b =
      8.50935e-5 + t * (-6.12293e-6 + t * 5.2787e-8) + s * (-9.9348e-7 + t * (2.0816e-8 + t * 9.1697e-10));
  return at_surface + p * (a + p * b);
}

bool in_range(double t) { return t >= -2.0 && t <= 40.0; }

}  // namespace

Result<Density> sea_water_density(std::int32_t salinity_millionths, WaterTemperature temperature,
                                  std::uint32_t pressure_mdbar) {
  constexpr const char* kDoing = "computing density";
  WRACKLINE_TRY(check_salinity(salinity_millionths, kDoing));
  WRACKLINE_TRY(check_water_temperature(temperature.mdegc, kDoing));
  WRACKLINE_TRY(check_sea_pressure(pressure_mdbar, kDoing));

  const double s = salinity_millionths / 1e6;
  const double t = degrees_ipts68(temperature);
  const double bar = pressure_mdbar / 1e4;
  const double kg_per_m3 = density_at_surface(s, t) / (1.0 - bar / bulk_modulus(s, t, bar));
  const std::optional<std::int64_t> mg_per_m3 = whole<std::int64_t>(kg_per_m3 * 1e6);
  if (!mg_per_m3) return fail(ErrorCode::kInvalid, "computing density: the figure is too large to say");
  Density out;
  out.density_mg_per_m3 = *mg_per_m3;
  out.within_validity = salinity_millionths <= 42'000'000 && in_range(t) && pressure_mdbar <= 10'000'000;
  return out;
}

Result<SpecificGravity> specific_gravity(std::int32_t salinity_millionths, WaterTemperature temperature,
                                         WaterTemperature reference) {
  WRACKLINE_TRY_VALUE(water, sea_water_density(salinity_millionths, temperature, 0));
  WRACKLINE_TRY_VALUE(pure, sea_water_density(0, reference, 0));
  const std::optional<std::int32_t> ppm = ratio_ppm(water.density_mg_per_m3, pure.density_mg_per_m3);
  if (!ppm) return fail(ErrorCode::kInvalid, "computing specific gravity: the figure is too large to say");
  return SpecificGravity{*ppm, reference, water.within_validity && pure.within_validity};
}

}  // namespace wrackline
