// Salinity, density and temperature: units, scales, ranges and bad input. Their values are in
// tests/reference.
#include "water/salinity.h"

#include <catch2/catch.hpp>

#include "support/random.h"
#include "water/density.h"

using namespace wrackline;

namespace {

constexpr WaterTemperature kWarm = {24'000, TemperatureScale::kIts90};

WaterTemperature at(std::int32_t mdegc) { return {mdegc, TemperatureScale::kIts90}; }

}  // namespace

TEST_CASE("the same conductivity in two units is the same salinity", "[water]") {
  const Result<Salinity> milli =
      salinity_from_conductivity({50'000, ConductivityUnit::kMillisiemensPerCm}, kWarm, 0);
  const Result<Salinity> micro =
      salinity_from_conductivity({50'000'000, ConductivityUnit::kMicrosiemensPerCm}, kWarm, 0);
  REQUIRE(milli);
  REQUIRE(micro);
  CHECK(milli->salinity_millionths == micro->salinity_millionths);
}

TEST_CASE("mistaking mS/cm and uS/cm is refused or marked, never taken", "[water]") {
  // 50 mS/cm typed as uS/cm is nearly fresh; 50,000 uS/cm typed as mS/cm is no water.
  const Result<Salinity> fresh =
      salinity_from_conductivity({50'000, ConductivityUnit::kMicrosiemensPerCm}, kWarm, 0);
  REQUIRE(fresh);
  CHECK_FALSE(fresh->within_validity);
  const Result<Salinity> none =
      salinity_from_conductivity({50'000'000, ConductivityUnit::kMillisiemensPerCm}, kWarm, 0);
  CHECK(none.error().code == ErrorCode::kInvalid);
  CHECK_FALSE(
      salinity_from_conductivity({~std::uint64_t{0}, ConductivityUnit::kMillisiemensPerCm}, kWarm, 0));
}

TEST_CASE("a dry probe has no salinity", "[water]") {
  const Result<Salinity> dry =
      salinity_from_conductivity({0, ConductivityUnit::kMillisiemensPerCm}, kWarm, 0);
  CHECK(dry.error().code == ErrorCode::kInvalid);
  CHECK(dry.error().message.find("probe") != std::string::npos);
}

TEST_CASE("salinity is marked outside the range of its scale", "[water]") {
  const auto within = [](std::uint64_t ratio_ppb, WaterTemperature temperature, std::uint32_t dbar) {
    const Result<Salinity> salinity = salinity_from_ratio(ratio_ppb, temperature, dbar * 1000);
    REQUIRE(salinity);
    return salinity->within_validity;
  };
  CHECK(within(1'000'000'000, at(15'000), 0));
  CHECK_FALSE(within(40'000'000, at(15'000), 0));  // Below 2.
  // At 15 degrees of IPTS-68 a ratio of 1.175 is 41.96, one of 1.18 is 42.16.
  CHECK(within(1'175'000'000, {15'000, TemperatureScale::kIpts68}, 0));
  CHECK_FALSE(within(1'180'000'000, {15'000, TemperatureScale::kIpts68}, 0));
  CHECK(within(650'000'000, at(-1'999), 0));
  CHECK_FALSE(within(650'000'000, at(-2'001), 0));
  // 35.000 of ITS-90 is 35.008 of IPTS-68, in which the range is written.
  CHECK_FALSE(within(1'000'000'000, at(35'000), 0));
  CHECK(within(1'000'000'000, {35'000, TemperatureScale::kIpts68}, 0));
  CHECK(within(1'000'000'000, at(15'000), 10'000));
  CHECK_FALSE(within(1'000'000'000, at(15'000), 10'001));
}

TEST_CASE("more conductivity is more salinity, at any temperature", "[water]") {
  Random random = test_random("salinity grows");
  for (int i = 0; i < 500; ++i) {
    const WaterTemperature temperature = at(static_cast<std::int32_t>(random.below(35'000)));
    const std::uint64_t ratio_ppb = 100'000'000 + random.below(1'200'000'000);
    const std::uint64_t more_ppb = ratio_ppb + 1'000 + random.below(100'000'000);
    const Result<Salinity> less = salinity_from_ratio(ratio_ppb, temperature, 0);
    const Result<Salinity> more = salinity_from_ratio(more_ppb, temperature, 0);
    REQUIRE(less);
    REQUIRE(more);
    CAPTURE(temperature.mdegc, ratio_ppb, more_ppb);
    REQUIRE(less->salinity_millionths < more->salinity_millionths);
  }
}

TEST_CASE("80 degrees, which is F, is refused as a temperature of water", "[water]") {
  const Result<Salinity> hot = salinity_from_ratio(1'000'000'000, at(80'000), 0);
  CHECK(hot.error().code == ErrorCode::kInvalid);
  CHECK(hot.error().message.find("degrees F") != std::string::npos);
  CHECK_FALSE(sea_water_density(35'000'000, at(80'000), 0));
  CHECK_FALSE(sea_water_density(35'000'000, at(-5'001), 0));
  CHECK(sea_water_density(35'000'000, at(-5'000), 0));
  CHECK(sea_water_density(35'000'000, at(50'000), 0));
}

TEST_CASE("a pressure of no sea is refused", "[water]") {
  CHECK(salinity_from_ratio(1'000'000'000, kWarm, 11'000'000));
  CHECK_FALSE(salinity_from_ratio(1'000'000'000, kWarm, 11'000'001));
  CHECK_FALSE(sea_water_density(35'000'000, kWarm, 11'000'001));
}

TEST_CASE("a salinity below 0 or above 100 is a slip of the unit", "[water]") {
  CHECK_FALSE(sea_water_density(-1, kWarm, 0));
  CHECK_FALSE(sea_water_density(100'000'001, kWarm, 0));
  CHECK(sea_water_density(100'000'000, kWarm, 0));
}

TEST_CASE("density is marked outside the range of its equation", "[water]") {
  const auto within = [](std::int32_t salinity, std::int32_t mdegc, std::uint32_t dbar) {
    const Result<Density> density =
        sea_water_density(salinity * 1'000'000, {mdegc, TemperatureScale::kIpts68}, dbar * 1000);
    REQUIRE(density);
    return density->within_validity;
  };
  CHECK(within(42, 40'000, 10'000));
  CHECK(within(0, -2'000, 0));
  CHECK_FALSE(within(43, 20'000, 0));
  CHECK_FALSE(within(35, 40'001, 0));
  CHECK_FALSE(within(35, -2'001, 0));
  CHECK_FALSE(within(35, 20'000, 10'001));
}

TEST_CASE("specific gravity is one thing per reference, and pure water at it is 1", "[water]") {
  const Result<SpecificGravity> pure = specific_gravity(0, kWarm, kWarm);
  REQUIRE(pure);
  CHECK(pure->gravity_ppm == 1'000'000);
  const Result<SpecificGravity> to_warm = specific_gravity(35'000'000, kWarm, kWarm);
  const Result<SpecificGravity> to_cold = specific_gravity(35'000'000, kWarm, at(4'000));
  REQUIRE(to_warm);
  REQUIRE(to_cold);
  CHECK(to_warm->gravity_ppm > to_cold->gravity_ppm);
  CHECK(to_cold->reference.mdegc == 4'000);
  CHECK_FALSE(specific_gravity(35'000'000, kWarm, at(60'000)));
}

TEST_CASE("nothing is colder than absolute zero", "[water]") {
  CHECK(mdegc_from_mdegf(-459'670) == -273'150);
  CHECK_FALSE(mdegc_from_mdegf(-459'680));
  CHECK_FALSE(mdegc_from_mdegf(std::numeric_limits<std::int64_t>::max()));
}
