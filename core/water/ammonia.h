// Un-ionised ammonia: the share of total ammonia that is NH3, the form that harms gills and skin.
//
// A figure here depends as much on the pH as on the kit: 0.1 of pH is a quarter more or less of it. The
// formula and the scale of the pH therefore stand in every result; a fraction without them cannot be
// compared.
#pragma once

#include <cstdint>
#include <optional>

#include "base/formula.h"
#include "base/result.h"

namespace wrackline {

// pKa = 0.09018 + 2729.92 / T, T in kelvin.
inline constexpr Formula kEmerson1975 = {
    "Emerson et al. 1975, un-ionised ammonia in fresh water",
    "Emerson, Russo, Lund & Thurston 1975, J. Fish. Res. Board Can. 32:2379-2383",
    "fresh water, 0 to 50 degrees C, pH 6 to 10 (the span of pH from memory)"};

// A table, of which each temperature's column has one pKa: 9.836, 9.674, 9.512 and 9.350 at 10, 15, 20 and 25
// degrees C. Between them the pKa is taken along a straight line, not the percentage, which is none.
inline constexpr Formula kBowerBidwell1978 = {
    "Bower & Bidwell 1978, un-ionised ammonia in sea water of salinity 34",
    "Bower & Bidwell 1978, J. Fish. Res. Board Can. 35:1012-1016, as printed in a test kit's manual",
    "salinity 32 to 36 (pKa moves by 0.003 for each, so by less than 0.01 there), 10 to 25 degrees C, pH 7.5 "
    "to "
    "8.5"};

// The scale that a pH was read on. Handheld probes and colour tests are calibrated with NBS (NIST) buffers.
// In sea water the other scales lie about 0.1 lower, and their pKa with them: the two may not be mixed.
enum class PhScale : std::uint8_t { kNotStated, kNbs, kTotal, kSeaWater, kFree };

struct AmmoniaReading {
  std::int32_t temperature_mdegc = 0;
  std::int32_t ph_thousandths = 0;  // pH 8.1 is 8100.
  PhScale ph_scale = PhScale::kNotStated;
  // Total ammonia as nitrogen (TAN). Absent = not measured; then only the fraction is answered.
  std::optional<std::int64_t> total_nitrogen_ng_per_l;
};

struct UnionisedAmmonia {
  std::int32_t fraction_ppm = 0;                      // 5.02 % is 50,200.
  std::optional<std::int64_t> nh3_nitrogen_ng_per_l;  // NH3 as nitrogen; see water/nitrogen.h for NH3 itself.
  Formula formula;
  PhScale ph_scale = PhScale::kNotStated;
  bool within_validity = false;  // Says whether the input lies within formula.validity.
};

// Errors: kInvalid for a temperature that check_water_temperature() refuses, a pH outside 0 to 14, a total
// below 0, and a pH scale other than kNbs, in which both formulas are written.
Result<UnionisedAmmonia> unionised_ammonia_fresh(const AmmoniaReading& reading);

// Likewise, and for a salinity that check_salinity() refuses. The salinity does not enter the figure, which
// is that of salinity 34; it says whether the table may be used.
Result<UnionisedAmmonia> unionised_ammonia_sea(const AmmoniaReading& reading,
                                               std::int32_t salinity_millionths);

}  // namespace wrackline
