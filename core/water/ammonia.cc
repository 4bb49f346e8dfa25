#include "water/ammonia.h"

#include <array>
#include <cmath>

#include "base/real.h"
#include "water/salinity.h"
#include "water/temperature.h"

namespace wrackline {
namespace {

constexpr const char* kComputingAmmonia = "computing un-ionised ammonia";

struct Column {
  double degrees;
  double pka;
};
constexpr std::array<Column, 4> kSeaWaterColumns = {
    {{10.0, 9.836}, {15.0, 9.674}, {20.0, 9.512}, {25.0, 9.350}}};

// Beyond the table along its outermost piece; the result is then marked.
double sea_water_pka(double t) {
  std::size_t right = 1;
  while (right + 1 < kSeaWaterColumns.size() && t > kSeaWaterColumns[right].degrees) ++right;
  const Column& low = kSeaWaterColumns[right - 1];
  const Column& high = kSeaWaterColumns[right];
  return low.pka + (high.pka - low.pka) * (t - low.degrees) / (high.degrees - low.degrees);
}

Status check(const AmmoniaReading& reading) {
  WRACKLINE_TRY(check_water_temperature(reading.temperature_mdegc, kComputingAmmonia));
  if (reading.ph_thousandths < 0 || reading.ph_thousandths > 14'000) {
    return fail(
        ErrorCode::kInvalid,
        "computing un-ionised ammonia: the pH is outside 0 to 14; give it in thousandths, 8.1 as 8100");
  }
  if (reading.ph_scale != PhScale::kNbs) {
    return fail(ErrorCode::kInvalid,
                "computing un-ionised ammonia: the formula wants a pH on the NBS scale, and this one is on "
                "another or none is named; say what the probe was calibrated with");
  }
  if (reading.total_nitrogen_ng_per_l && *reading.total_nitrogen_ng_per_l < 0) {
    return fail(ErrorCode::kInvalid,
                "computing un-ionised ammonia: the total is below 0; leave it out if it was not measured");
  }
  return {};
}

Result<UnionisedAmmonia> compute(const AmmoniaReading& reading, double pka, const Formula& formula,
                                 bool within_validity) {
  const double fraction = 1.0 / (std::pow(10.0, pka - reading.ph_thousandths / 1000.0) + 1.0);
  const std::optional<std::int32_t> ppm = whole<std::int32_t>(fraction * 1e6);
  if (!ppm) return fail(ErrorCode::kInvalid, "computing un-ionised ammonia: the figure cannot be said");
  UnionisedAmmonia out;
  out.fraction_ppm = *ppm;
  if (reading.total_nitrogen_ng_per_l) {
    out.nh3_nitrogen_ng_per_l =
        whole<std::int64_t>(fraction * static_cast<double>(*reading.total_nitrogen_ng_per_l));
  }
  out.formula = formula;
  out.ph_scale = reading.ph_scale;
  out.within_validity = within_validity;
  return out;
}

}  // namespace

Result<UnionisedAmmonia> unionised_ammonia_fresh(const AmmoniaReading& reading) {
  WRACKLINE_TRY(check(reading));
  const bool within =
      reading.temperature_mdegc >= 0 && reading.ph_thousandths >= 6'000 && reading.ph_thousandths <= 10'000;
  const double pka = 0.09018 + 2729.92 / (reading.temperature_mdegc / 1000.0 + 273.15);
  return compute(reading, pka, kEmerson1975, within);
}

Result<UnionisedAmmonia> unionised_ammonia_sea(const AmmoniaReading& reading,
                                               std::int32_t salinity_millionths) {
  WRACKLINE_TRY(check(reading));
  WRACKLINE_TRY(check_salinity(salinity_millionths, kComputingAmmonia));
  const bool within = reading.temperature_mdegc >= 10'000 && reading.temperature_mdegc <= 25'000 &&
                      reading.ph_thousandths >= 7'500 && reading.ph_thousandths <= 8'500 &&
                      salinity_millionths >= 32'000'000 && salinity_millionths <= 36'000'000;
  return compute(reading, sea_water_pka(reading.temperature_mdegc / 1000.0), kBowerBidwell1978, within);
}

}  // namespace wrackline
