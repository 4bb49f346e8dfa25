// Oxygen saturation against the printed table, a second package and the oceanographers' toolbox.
//
// The formula is Benson & Krause 1984, adopted by the USGS and Standard Methods 4500-O.
#include <catch2/catch.hpp>
#include <vector>

#include "water/density.h"
#include "water/oxygen.h"

using namespace wrackline;

namespace {

OxygenSaturation saturation(std::int32_t degrees, std::int32_t salinity,
                            std::uint32_t pressure_pa = kStandardAtmospherePa) {
  const Result<OxygenSaturation> saturation =
      oxygen_saturation(degrees * 1000, salinity * 1'000'000, pressure_pa);
  REQUIRE(saturation);
  CHECK(saturation->within_validity);
  return *saturation;
}

bool near(std::int64_t figure, std::int64_t expected, std::int64_t tolerance) {
  CAPTURE(figure, expected);
  return figure >= expected - tolerance && figure <= expected + tolerance;
}

struct Row {
  std::int32_t degrees;
  std::int64_t ug_per_l;
};

}  // namespace

// Computed by an independent script from the equations, three decimals of mg/L. The printed table 4500-O:I
// (14.621, 12.770, 11.288, 10.084, 9.092, 8.263, 7.559; from memory) is within 0.002.
TEST_CASE("oxygen saturation of fresh water from 0 to 40 degrees", "[reference]") {
  const std::vector<Row> rows = {{0, 14'621}, {5, 12'771}, {10, 11'288}, {15, 10'084}, {20, 9'092},
                                 {25, 8'263}, {30, 7'559}, {35, 6'949},  {40, 6'413}};
  for (const Row& row : rows) {
    CAPTURE(row.degrees);
    CHECK(near(saturation(row.degrees, 0).saturation_ng_per_l, row.ug_per_l * 1000, 500));
  }
  const std::vector<Row> printed = {{0, 14'621}, {5, 12'770}, {10, 11'288}, {15, 10'084},
                                    {20, 9'092}, {25, 8'263}, {30, 7'559}};
  for (const Row& row : printed) {
    CAPTURE(row.degrees);
    CHECK(near(saturation(row.degrees, 0).saturation_ng_per_l, row.ug_per_l * 1000, 2'000));
  }
}

TEST_CASE("oxygen saturation of sea water from 0 to 40 degrees", "[reference]") {
  const std::vector<Row> rows = {{0, 11'446}, {5, 10'108}, {10, 9'024}, {15, 8'135}, {20, 7'396},
                                 {25, 6'772}, {30, 6'237}, {35, 5'769}, {40, 5'353}};
  for (const Row& row : rows) {
    CAPTURE(row.degrees);
    CHECK(near(saturation(row.degrees, 35).saturation_ng_per_l, row.ug_per_l * 1000, 500));
  }
}

// Unit test of a public R package with the same equations: 6.772116 mg/L, to 1e-5.
TEST_CASE("oxygen saturation at 25 degrees and salinity 35 is that of a second package", "[reference]") {
  CHECK(near(saturation(25, 35).saturation_ng_per_l, 6'772'116, 10));
}

// Computed by an independent script; 1 mmHg is 133.322 Pa. The pressure is whole pascals, so the last decimal
// of the script is allowed one.
TEST_CASE("oxygen saturation falls with the pressure of the air", "[reference]") {
  CHECK(near(saturation(20, 0, 91'193).saturation_ng_per_l, 8'162'300, 100));  // 0.9 atm
  CHECK(near(saturation(20, 0, 79'993).saturation_ng_per_l, 7'134'100, 100));  // 600 mmHg
  CHECK(near(saturation(25, 0, 93'326).saturation_ng_per_l, 7'590'400, 100));  // 700 mmHg
  CHECK(near(saturation(15, 25).saturation_ng_per_l, 8'649'950, 10));
  // At half an atmosphere and in between, another script in double precision: the departure from the ideal
  // gas shows.
  CHECK(near(saturation(30, 0, 50'663).saturation_ng_per_l, 3'615'348, 1));
  CHECK(near(saturation(25, 35, 50'663).saturation_ng_per_l, 3'277'902, 1));
  CHECK(near(saturation(10, 20, 70'000).saturation_ng_per_l, 6'826'123, 1));
}

// gsw.O2sol_SP_pt of gsw 3.6.16 (Garcia & Gordon 1992): 206.76679 umol/kg at salinity 35 and 25 degrees,
// 284.62530 at 0 and 20. With 31.9988 g/mol and the density of EOS-80 the two formulas agree within 0.03 %.
TEST_CASE("oxygen saturation agrees with another formula within 0.03 percent", "[reference]") {
  struct Other {
    std::int32_t degrees, salinity;
    double umol_per_kg;
  };
  for (const Other& other : {Other{25, 35, 206.76679}, Other{20, 0, 284.62530}}) {
    const Result<Density> density =
        sea_water_density(other.salinity * 1'000'000, {other.degrees * 1000, TemperatureScale::kIts90}, 0);
    REQUIRE(density);
    const double kg_per_l = static_cast<double>(density->density_mg_per_m3) / 1e9;
    const double ng_per_l = other.umol_per_kg * 31.9988 * kg_per_l * 1000.0;
    CHECK(static_cast<double>(saturation(other.degrees, other.salinity).saturation_ng_per_l) ==
          Approx(ng_per_l).epsilon(0.0003));
  }
}

// Percent saturation is 100 * measured / saturation.
TEST_CASE("6.0 mg/L in sea water of 25 degrees is 88.6 percent of saturation", "[reference]") {
  CHECK(oxygen_saturated_ppm(6'000'000, saturation(25, 35)) == 885'986);  // 6 / 6.772116
}
