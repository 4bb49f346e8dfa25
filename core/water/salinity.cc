#include "water/salinity.h"

#include <cmath>
#include <string>

#include "base/real.h"

namespace wrackline {
namespace {

constexpr const char* kDoing = "computing salinity";

// C(35, 15, 0) in thousandths of a microsiemens per centimetre.
constexpr std::uint64_t kStandardNanosiemensPerCm = 42'914'000;

// t in degrees C of IPTS-68, p in dbar.
double practical_salinity(double ratio, double t, double p) {
  const double rt_15 = 0.6766097 + t * (2.00564e-2 + t * (1.104259e-4 + t * (-6.9698e-7 + t * 1.0031e-9)));
  const double by_pressure =
      1.0 + p * (2.070e-5 + p * (-6.370e-10 + p * 3.989e-15)) /
                (1.0 + t * (3.426e-2 + t * 4.464e-4) + (0.4215 - 3.107e-3 * t) * ratio);
  const double rt = ratio / (by_pressure * rt_15);
  const double x = std::sqrt(rt);
  const double at_15 = 0.0080 + x * (-0.1692 + x * (25.3851 + x * (14.0941 + x * (-7.0261 + x * 2.7081))));
  const double off_15 = 0.0005 + x * (-0.0056 + x * (-0.0066 + x * (-0.0375 + x * (0.0636 + x * -0.0144))));
  return at_15 + (t - 15.0) / (1.0 + 0.0162 * (t - 15.0)) * off_15;
}

}  // namespace

Status check_salinity(std::int32_t salinity_millionths, const char* doing) {
  if (salinity_millionths < 0 || salinity_millionths > 100'000'000) {
    return fail(ErrorCode::kInvalid,
                std::string(doing) +
                    ": the salinity is below 0 or above 100; give it in millionths, 35 as "
                    "35,000,000");
  }
  return {};
}

Status check_sea_pressure(std::uint32_t pressure_mdbar, const char* doing) {
  if (pressure_mdbar > 11'000'000) {
    return fail(ErrorCode::kInvalid, std::string(doing) +
                                         ": the pressure is that of no sea; give the water's own, 0 at the "
                                         "surface, in thousandths of a decibar");
  }
  return {};
}

Result<Salinity> salinity_from_ratio(std::uint64_t ratio_ppb, WaterTemperature temperature,
                                     std::uint32_t pressure_mdbar) {
  if (ratio_ppb == 0) {
    return fail(ErrorCode::kInvalid,
                "computing salinity: there is no conductivity; look whether the probe is under water");
  }
  if (ratio_ppb > 3'000'000'000) {
    return fail(ErrorCode::kInvalid,
                "computing salinity: no water conducts so well; look whether the meter shows uS/cm or mS/cm");
  }
  WRACKLINE_TRY(check_water_temperature(temperature.mdegc, kDoing));
  WRACKLINE_TRY(check_sea_pressure(pressure_mdbar, kDoing));

  const double t = degrees_ipts68(temperature);
  const double salinity =
      practical_salinity(static_cast<double>(ratio_ppb) / 1e9, t, pressure_mdbar / 1000.0);
  const std::optional<std::int32_t> millionths = whole<std::int32_t>(salinity * 1e6);
  if (!millionths) return fail(ErrorCode::kInvalid, "computing salinity: the figure is too large to say");
  Salinity out;
  out.salinity_millionths = *millionths;
  out.within_validity = *millionths >= 2'000'000 && *millionths <= 42'000'000 && t >= -2.0 && t <= 35.0 &&
                        pressure_mdbar <= 10'000'000;
  return out;
}

Result<Salinity> salinity_from_conductivity(Conductivity conductivity, WaterTemperature temperature,
                                            std::uint32_t pressure_mdbar) {
  const Int128 ns_per_cm = Int128(conductivity.thousandths) *
                           (conductivity.unit == ConductivityUnit::kMillisiemensPerCm ? 1000 : 1);
  const std::optional<std::uint64_t> ratio_ppb =
      fit<std::uint64_t>(divide_rounded(ns_per_cm * 1'000'000'000, kStandardNanosiemensPerCm));
  // A value that does not fit is far above what salinity_from_ratio() takes in, and is refused there.
  return salinity_from_ratio(ratio_ppb.value_or(std::numeric_limits<std::uint64_t>::max()), temperature,
                             pressure_mdbar);
}

}  // namespace wrackline
