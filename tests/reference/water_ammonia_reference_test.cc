// Un-ionised ammonia, nitrogen and halogens against printed tables and atomic masses.
#include <catch2/catch.hpp>
#include <cmath>
#include <vector>

#include "water/ammonia.h"
#include "water/disinfectant.h"
#include "water/nitrogen.h"
#include "water/temperature.h"

using namespace wrackline;

namespace {

AmmoniaReading reading(std::int32_t degrees, std::int32_t ph_thousandths) {
  return {degrees * 1000, ph_thousandths, PhScale::kNbs, std::nullopt};
}

std::int32_t fresh_ppm(std::int32_t degrees, std::int32_t ph_thousandths) {
  const Result<UnionisedAmmonia> ammonia = unionised_ammonia_fresh(reading(degrees, ph_thousandths));
  REQUIRE(ammonia);
  CHECK(ammonia->within_validity);
  return ammonia->fraction_ppm;
}

double sea_fraction(std::int32_t degrees, std::int32_t ph_thousandths) {
  const Result<UnionisedAmmonia> ammonia =
      unionised_ammonia_sea(reading(degrees, ph_thousandths), 34'000'000);
  REQUIRE(ammonia);
  return ammonia->fraction_ppm / 1e6;
}

// The pKa behind a fraction at a pH.
double pka_of(double fraction, double ph) { return ph + std::log10((1.0 - fraction) / fraction); }

}  // namespace

// Computed by an independent script from pKa = 0.09018 + 2729.92 / T (Emerson et al. 1975), four decimals of
// percent.
TEST_CASE("un-ionised ammonia of fresh water over temperature and pH", "[reference]") {
  const std::vector<std::int32_t> degrees = {10, 15, 20, 25, 30};
  struct Row {
    std::int32_t ph_thousandths;
    std::vector<std::int32_t> ppm;
  };
  const std::vector<Row> rows = {{7000, {1'853, 2'721, 3'942, 5'639, 7'965}},
                                 {8000, {18'221, 26'557, 38'071, 53'662, 74'319}},
                                 {8500, {55'437, 79'420, 111'235, 152'052, 202'480}},
                                 {9000, {156'543, 214'339, 283'555, 361'859, 445'326}}};
  for (const Row& row : rows) {
    for (std::size_t i = 0; i < degrees.size(); ++i) {
      CAPTURE(row.ph_thousandths, degrees[i]);
      CHECK(fresh_ppm(degrees[i], row.ph_thousandths) == row.ppm[i]);
    }
  }
}

// Univ. of Florida IFAS, fact sheet FA16, "calculated from Emerson et al. 1975", four decimals. (The
// 32-degree column of the copies of that table does not fit the formula and is not used. One reference page
// prints 2727.92 for 2729.92, which would give 0.0509 for the first row.)
TEST_CASE("un-ionised ammonia of fresh water is that of a printed table", "[reference]") {
  CHECK((fresh_ppm(24, 8000) + 50) / 100 == 502);
  CHECK((fresh_ppm(6, 7000) + 50) / 100 == 13);
  CHECK((fresh_ppm(20, 8000) + 50) / 100 == 381);
  CHECK((fresh_ppm(10, 8400) + 50) / 100 == 445);
  CHECK((fresh_ppm(30, 8200) + 50) / 100 == 1129);
}

// The worked example of the same fact sheet: 1.0 mg/L total at 24 degrees and pH 8.0 is 0.0502 mg/L
// un-ionised.
TEST_CASE("the fact sheet's example of un-ionised ammonia comes out", "[reference]") {
  AmmoniaReading example = reading(24, 8000);
  example.total_nitrogen_ng_per_l = 1'000'000;
  const Result<UnionisedAmmonia> ammonia = unionised_ammonia_fresh(example);
  REQUIRE(ammonia);
  CHECK((*ammonia->nh3_nitrogen_ng_per_l + 50) / 100 == 502);
}

// Bower & Bidwell 1978 as printed in a test kit's manual, percent, salinity 34. A column's rows imply the
// same pKa within 0.001, and that is the tolerance: the pKa of our fraction against the pKa of the printed
// one, which has three digits (half a unit of the last is up to 0.002 in the smallest, 1.39 and 1.44).
TEST_CASE("un-ionised ammonia of sea water is that of the printed table", "[reference]") {
  const std::vector<std::int32_t> degrees = {10, 15, 20, 25};
  struct Row {
    std::int32_t ph_thousandths;
    std::vector<double> percent;
  };
  const std::vector<Row> rows = {{7500, {0.459, 0.665, 0.963, 1.39}},
                                 {8000, {1.44, 2.07, 2.98, 4.28}},
                                 {8100, {1.80, 2.60, 3.73, 5.32}},
                                 {8200, {2.26, 3.25, 4.65, 6.61}},
                                 {8500, {4.41, 6.28, 8.87, 12.40}}};
  for (const Row& row : rows) {
    for (std::size_t i = 0; i < degrees.size(); ++i) {
      CAPTURE(row.ph_thousandths, degrees[i]);
      const double ph = row.ph_thousandths / 1000.0;
      CHECK(pka_of(sea_fraction(degrees[i], row.ph_thousandths), ph) ==
            Approx(pka_of(row.percent[i] / 100.0, ph)).margin(0.002));
    }
  }
}

// The pKa between the columns, by the line through 9.674 and 9.512: 9.593 at 17.5 degrees. Along the
// percentages it would be 2.525 % at pH 8.0; along the pKa it is 2.4892 % (arithmetic).
TEST_CASE("between two columns the pKa is interpolated, not the percentage", "[reference]") {
  AmmoniaReading between = reading(0, 8000);
  between.temperature_mdegc = 17'500;
  const Result<UnionisedAmmonia> ammonia = unionised_ammonia_sea(between, 34'000'000);
  REQUIRE(ammonia);
  CHECK(pka_of(ammonia->fraction_ppm / 1e6, 8.0) == Approx(9.593).margin(0.0001));
  CHECK(ammonia->fraction_ppm < 25'000);
}

// Bell et al. 2007, pKa = 10.0423 - 0.0315536 t + 0.003071 S (from memory): within 0.01 of the table.
TEST_CASE("un-ionised ammonia of sea water agrees with another formula within 0.01 of pKa", "[reference]") {
  for (std::int32_t degrees : {10, 15, 20, 25}) {
    const double bell = 10.0423 - 0.0315536 * degrees + 0.003071 * 34.0;
    CHECK(pka_of(sea_fraction(degrees, 8000), 8.0) == Approx(bell).margin(0.01));
  }
}

// Millero 1995 on the sea water pH scale, as published in the R package seacarb: pKa 9.25622 at salinity 35
// and 25 degrees, 9.42816 at 20. It is lower by 0.1, the distance of the two scales: so the scale stands in
// the result.
TEST_CASE("on another pH scale the pKa is another by a tenth", "[reference]") {
  CHECK(pka_of(sea_fraction(25, 8000), 8.0) - 9.25622 == Approx(0.1).margin(0.02));
  CHECK(pka_of(sea_fraction(20, 8000), 8.0) - 9.42816 == Approx(0.1).margin(0.02));
}

// Standard atomic masses: NH3 1.21589, NO2 3.28453, NO3 4.42680 of the nitrogen.
TEST_CASE("nitrogen becomes its compounds by atomic mass", "[reference]") {
  CHECK(as_itself_ng_per_l(NitrogenForm::kAmmonia, 1'000'000) == 1'215'890);
  CHECK(as_itself_ng_per_l(NitrogenForm::kNitrite, 1'000'000) == 3'284'530);
  CHECK(as_itself_ng_per_l(NitrogenForm::kNitrate, 1'000'000) == 4'426'800);
  CHECK(as_nitrogen_ng_per_l(NitrogenForm::kNitrate, 4'426'800) == 1'000'000);
}

// 159.808 / 70.906 = 2.25380, by molar mass.
TEST_CASE("chlorine becomes bromine by molar mass", "[reference]") {
  CHECK((*bromine_from_chlorine_ng_per_l(500'000) + 50) / 100 == 11'269);    // 0.5 -> 1.1269 mg/L
  CHECK((*bromine_from_chlorine_ng_per_l(1'000'000) + 50) / 100 == 22'538);  // 1.0 -> 2.2538
  CHECK(bromine_from_chlorine_ng_per_l(20'000) == 45'076);                   // 0.02 -> 0.045076
}

// 0.8 - 0.3 = 0.5 mg/L (arithmetic).
TEST_CASE("combined chlorine is the total less the free", "[reference]") {
  const Result<Oxidant> oxidant = oxidant_from_free_and_total(WaterKind::kFresh, 300'000, 800'000);
  REQUIRE(oxidant);
  CHECK(oxidant->combined_ng_per_l == 500'000);
  CHECK_FALSE(oxidant_from_free_and_total(WaterKind::kFresh, 300'000, 200'000));
}

// (80 - 32) / 1.8 = 26.667 (arithmetic); water boils at 212 F and freezes at 32 F, by definition of the
// scales.
TEST_CASE("degrees F become degrees C", "[reference]") {
  CHECK(mdegc_from_mdegf(80'000) == 26'667);
  CHECK(mdegc_from_mdegf(212'000) == 100'000);
  CHECK(mdegc_from_mdegf(32'000) == 0);
  CHECK(mdegc_from_mdegf(-40'000) == -40'000);
}
