// Salinity and density of sea water against the UNESCO check values and an independent library.
//
// "UNESCO 44" is Fofonoff & Millard 1983, UNESCO Technical Papers in Marine Science 44. "gsw" is the Python
// package gsw 3.6.16, the oceanographers' own toolbox.
#include <catch2/catch.hpp>

#include "water/density.h"
#include "water/salinity.h"

using namespace wrackline;

namespace {

WaterTemperature ipts68(std::int32_t mdegc) { return {mdegc, TemperatureScale::kIpts68}; }
WaterTemperature its90(std::int32_t mdegc) { return {mdegc, TemperatureScale::kIts90}; }

Salinity of_ratio(std::uint64_t ratio_ppb, WaterTemperature temperature, std::uint32_t dbar) {
  const Result<Salinity> salinity = salinity_from_ratio(ratio_ppb, temperature, dbar * 1000);
  REQUIRE(salinity);
  return *salinity;
}

std::int64_t of_conductivity(std::uint64_t us_per_cm, WaterTemperature temperature) {
  const Result<Salinity> salinity =
      salinity_from_conductivity({us_per_cm, ConductivityUnit::kMillisiemensPerCm}, temperature, 0);
  REQUIRE(salinity);
  return salinity->salinity_millionths;
}

bool near(std::int64_t figure, std::int64_t expected, std::int64_t tolerance) {
  CAPTURE(figure, expected);
  return figure >= expected - tolerance && figure <= expected + tolerance;
}

std::int64_t density(std::int32_t salinity, std::int32_t degrees, std::uint32_t dbar) {
  const Result<Density> density =
      sea_water_density(salinity * 1'000'000, ipts68(degrees * 1000), dbar * 1000);
  REQUIRE(density);
  CHECK(density->within_validity);
  return density->density_mg_per_m3;
}

}  // namespace

// UNESCO 44, p. 9, to 1e-6; gsw gives 34.9999999, 37.2456276 and 27.9953469.
TEST_CASE("practical salinity gives the three check values of UNESCO 44", "[reference]") {
  CHECK(near(of_ratio(1'000'000'000, ipts68(15'000), 0).salinity_millionths, 35'000'000, 1));
  CHECK(near(of_ratio(1'200'000'000, ipts68(20'000), 2000).salinity_millionths, 37'245'628, 1));
  CHECK(near(of_ratio(650'000'000, ipts68(5'000), 1500).salinity_millionths, 27'995'347, 1));
  CHECK(of_ratio(1'200'000'000, ipts68(20'000), 2000).within_validity);
}

// UNESCO 44, header of the function SAL78, to 1e-4; gsw gives 39.999996. Its 40 degrees are beyond the range
// of the scale, which the same paper gives as -2 to 35.
TEST_CASE("the check value at 40 degrees comes out, and is marked as outside the range", "[reference]") {
  const Salinity salinity = of_ratio(1'888'091'000, ipts68(40'000), 10'000);
  CHECK(near(salinity.salinity_millionths, 40'000'000, 100));
  CHECK_FALSE(salinity.within_validity);
}

// Manual of the R package marelac, to 1e-4, where the pressure is 100 bar; gsw gives 26.860944 and 26.507223.
TEST_CASE("a hundred bar are a thousand decibar", "[reference]") {
  CHECK(near(of_ratio(699'072'500, ipts68(10'000), 0).salinity_millionths, 26'860'900, 100));
  CHECK(near(of_ratio(699'072'500, ipts68(10'000), 1000).salinity_millionths, 26'507'200, 100));
  // Taken for decibar, the figure is off by 0.3.
  CHECK_FALSE(near(of_ratio(699'072'500, ipts68(10'000), 100).salinity_millionths, 26'507'200, 100'000));
}

// Computed with gsw, which takes ITS-90 degrees.
TEST_CASE("what a meter shows becomes the salinity that gsw computes", "[reference]") {
  CHECK(near(of_conductivity(50'000, its90(25'000)), 32'733'167, 1));
  CHECK(near(of_conductivity(53'087, its90(25'000)), 35'011'849, 1));
  CHECK(near(of_conductivity(5'000, its90(20'000)), 2'998'100, 1));
}

// Computed with gsw: 42.914 mS/cm at 15 degrees of ITS-90 is not 35.
TEST_CASE("the two temperature scales give two salinities", "[reference]") {
  CHECK(near(of_conductivity(42'914, its90(15'000)), 34'996'770, 1));
  CHECK(near(of_conductivity(42'914, ipts68(15'000)), 35'000'000, 1));
}

// UNESCO 44, p. 19, to its five decimals; they are also in the test suite of the R package oce.
TEST_CASE("density at the surface gives the check values of UNESCO 44", "[reference]") {
  CHECK(near(density(0, 5, 0), 999'966'750, 5));
  CHECK(near(density(0, 25, 0), 997'047'960, 5));
  CHECK(near(density(35, 5, 0), 1'027'675'470, 5));
  CHECK(near(density(35, 25, 0), 1'023'343'060, 5));
}

// UNESCO 44, p. 19, to its five decimals.
TEST_CASE("density under 10,000 dbar gives the check values of UNESCO 44", "[reference]") {
  CHECK(near(density(0, 5, 10'000), 1'044'128'020, 5));
  CHECK(near(density(0, 25, 10'000), 1'037'902'040, 5));
  CHECK(near(density(35, 5, 10'000), 1'069'489'140, 5));
  CHECK(near(density(35, 25, 10'000), 1'062'538'170, 5));
}

// Computed by an independent script from the same equation; five decimals.
TEST_CASE("density in the range of a pool is what an independent script computes", "[reference]") {
  CHECK(near(density(32, 24, 0), 1'021'373'690, 5));
}

// 1023.34306 / 997.04796 = 1.026373, by an independent script.
TEST_CASE("specific gravity of sea water at 25 degrees, referred to pure water at 25", "[reference]") {
  const Result<SpecificGravity> gravity = specific_gravity(35'000'000, ipts68(25'000), ipts68(25'000));
  REQUIRE(gravity);
  CHECK(gravity->gravity_ppm == 1'026'373);
  CHECK(gravity->reference.mdegc == 25'000);
}
