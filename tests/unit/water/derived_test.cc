// Goal: figures of several readings are made from the readings that belong together, and from no others.
// Method: a day's readings with figures known from elsewhere; then one reading moved just out of reach.
#include "water/derived.h"

#include <catch2/catch.hpp>
#include <cstdlib>

using namespace wrackline;
using P = WaterProperty;
using F = DerivedFigure;

namespace {

constexpr Day kDay = 20'000;

PoolReading read(P property, std::int64_t value, WallMs after_midnight_ms, Day day = kDay) {
  return {property, value, day, static_cast<WallMs>(day) * kDayMs + after_midnight_ms, PhScale::kNbs};
}

std::vector<DerivedWater> only(F figure, const std::vector<PoolReading>& readings,
                               const std::optional<ColiformRule>& rule = std::nullopt) {
  std::vector<DerivedWater> out;
  for (DerivedWater& derived : derive_water(readings, rule)) {
    if (derived.figure == figure) out.push_back(std::move(derived));
  }
  return out;
}

const std::optional<ColiformRule> kRule = coliform_averaging(1000, "9 CFR 3.106");

}  // namespace

// 50 mS/cm at 25 degrees C (ITS-90) is 32.733167; computed with the library gsw 3.6.16.
TEST_CASE("salinity is derived from a conductivity and a temperature of the same half hour", "[water]") {
  const std::vector<PoolReading> together = {read(P::kConductivity, 50'000, 0),
                                             read(P::kTemperature, 25'000, 30 * kMinuteMs)};
  const auto found = only(F::kSalinity, together);
  REQUIRE(found.size() == 1);
  CHECK(found[0].value == 32'733);
  CHECK_FALSE(found[0].outside_range);
  CHECK(found[0].from == std::vector<std::size_t>{0, 1});
  CHECK(found[0].formula.find("PSS-78") == 0);
  CHECK(found[0].formula.find("Fofonoff & Millard 1983") != std::string::npos);

  CHECK(only(F::kSalinity, {together[0], read(P::kTemperature, 25'000, 30 * kMinuteMs + 1)}).empty());
  CHECK(only(F::kSalinity, {read(P::kConductivity, 0, 0), together[1]}).empty());
  PoolReading untimed = together[1];
  untimed.at_ms.reset();
  CHECK(only(F::kSalinity, {untimed, together[0]}).empty());
}

TEST_CASE("salinity is derived across midnight, and from the nearer of two temperatures", "[water]") {
  const auto found = only(F::kSalinity, {read(P::kTemperature, 10'000, 23 * kHourMs + 40 * kMinuteMs, kDay - 1),
                                         read(P::kTemperature, 25'000, 23 * kHourMs + 50 * kMinuteMs, kDay - 1),
                                         read(P::kConductivity, 50'000, 5 * kMinuteMs)});
  REQUIRE(found.size() == 1);
  CHECK(found[0].value == 32'733);
  CHECK(found[0].from == std::vector<std::size_t>{2, 1});
}

// 5 mS/cm at 20 degrees C is 2.998100 (gsw 3.6.16), within the scale's range; half of that is not.
TEST_CASE("a salinity below the scale's range is shown and marked, and so is the density from it",
          "[water]") {
  const std::vector<PoolReading> brackish = {read(P::kConductivity, 5'000, 0),
                                             read(P::kTemperature, 20'000, 0)};
  CHECK(only(F::kSalinity, brackish)[0].value == 2'998);
  CHECK_FALSE(only(F::kSalinity, brackish)[0].outside_range);
  const std::vector<PoolReading> fresher = {read(P::kConductivity, 2'500, 0),
                                            read(P::kTemperature, 20'000, 0)};
  CHECK(only(F::kSalinity, fresher)[0].outside_range);
  CHECK(only(F::kDensity, fresher)[0].outside_range);
}

// 1023.34306 kg/m3 at salinity 35 and 25 degrees C of IPTS-68 (UNESCO Tech. Pap. Mar. Sci. 44, p. 19); on
// ITS-90 the water is 0.006 degrees warmer, near 0.002 kg/m3 lighter.
TEST_CASE("density is derived from a salinity and the nearest temperature of its day", "[water]") {
  const auto found =
      only(F::kDensity, {read(P::kTemperature, 25'000, 2 * kHourMs), read(P::kSalinity, 35'000, 12 * kHourMs)});
  REQUIRE(found.size() == 1);
  CHECK(std::llabs(found[0].value - 1'023'341) <= 1);
  CHECK(only(F::kDensity,
             {read(P::kTemperature, 25'000, 2 * kHourMs, kDay - 1), read(P::kSalinity, 35'000, 12 * kHourMs)})
            .empty());
}

// 6.772116 mg/L is saturation at 25 degrees C, salinity 35 and one atmosphere (Benson & Krause 1984; the
// value is that of a unit test of a public package with the same equations).
TEST_CASE("oxygen saturation takes the air pressure of the day, and says so when there is none", "[water]") {
  std::vector<PoolReading> readings = {read(P::kTemperature, 25'000, 0), read(P::kSalinity, 35'000, 0),
                                       read(P::kOxygen, 6'772, kHourMs)};
  auto found = only(F::kOxygenSaturation, readings);
  REQUIRE(found.size() == 1);
  CHECK(std::llabs(found[0].value - 1'000'000) <= 50);
  CHECK(found[0].formula.find("one standard atmosphere") != std::string::npos);
  CHECK(found[0].from == std::vector<std::size_t>{2, 0, 1});

  readings.push_back(read(P::kAirPressure, 95'000, 2 * kHourMs));
  found = only(F::kOxygenSaturation, readings);
  CHECK(found[0].value > 1'060'000);  // Less air, less oxygen in balance.
  CHECK(found[0].formula.find("standard atmosphere") == std::string::npos);
  CHECK(found[0].from.back() == 3);
}

// Fresh: 24 degrees C and pH 8.0 give 0.0502 of the total (University of Florida IFAS FA16, "calculated from
// Emerson et al. 1975"; its example is 1 mg/L). Sea: 20 degrees C and pH 8.1 give 3.73 % (Bower & Bidwell
// 1978, as printed in a test kit's manual).
TEST_CASE("un-ionised ammonia goes by fresh or sea water, as the salinity known says", "[water]") {
  const auto fresh = only(F::kAmmoniaUnionised, {read(P::kTemperature, 24'000, 0), read(P::kSalinity, 500, 0),
                                                 read(P::kPh, 8'000, 0), read(P::kAmmonia, 1'000, kHourMs)});
  REQUIRE(fresh.size() == 1);
  CHECK(std::llabs(fresh[0].value - 50'200) <= 50);
  CHECK(fresh[0].formula.find("Emerson") == 0);
  CHECK(fresh[0].formula.find("pH on the NBS scale") != std::string::npos);

  std::vector<PoolReading> sea = {read(P::kTemperature, 20'000, 0), read(P::kSalinity, 34'000, 0),
                                  read(P::kPh, 8'100, 0), read(P::kAmmonia, 1'000, kHourMs)};
  auto found = only(F::kAmmoniaUnionised, sea);
  CHECK(std::llabs(found[0].value - 37'300) <= 60);
  CHECK(found[0].formula.find("Bower & Bidwell") == 0);
  CHECK_FALSE(found[0].outside_range);

  sea[1].value = 501;  // Just not fresh any more: the sea's table, far outside of it.
  found = only(F::kAmmoniaUnionised, sea);
  CHECK(found[0].formula.find("Bower & Bidwell") == 0);
  CHECK(found[0].outside_range);
}

TEST_CASE("un-ionised ammonia is not made without a pH of the day, or from a pH on another scale",
          "[water]") {
  std::vector<PoolReading> readings = {read(P::kPh, 8'000, 23 * kHourMs, kDay - 1),
                                       read(P::kTemperature, 20'000, 0), read(P::kSalinity, 34'000, 0),
                                       read(P::kAmmonia, 1'000, kHourMs)};
  CHECK(only(F::kAmmoniaUnionised, readings).empty());
  readings.push_back(read(P::kPh, 8'000, 23 * kHourMs));
  CHECK(only(F::kAmmoniaUnionised, readings).size() == 1);
  readings.back().ph_scale = PhScale::kTotal;
  CHECK(only(F::kAmmoniaUnionised, readings).empty());
}

TEST_CASE("the pH scale is read from the method, and is NBS when it names none", "[water]") {
  CHECK(ph_scale_of("") == PhScale::kNbs);
  CHECK(ph_scale_of("glass probe, NBS buffers") == PhScale::kNbs);
  CHECK(ph_scale_of("Spectrophotometric, Total Scale") == PhScale::kTotal);
  CHECK(ph_scale_of("seawater scale") == PhScale::kSeaWater);
  CHECK(ph_scale_of("free-scale") == PhScale::kFree);
}

TEST_CASE("a salinity serves for a week after its reading, and a read one goes before a derived one",
          "[water]") {
  const auto readings = [](Day salinity_day) {
    return std::vector<PoolReading>{read(P::kSalinity, 34'000, 0, salinity_day),
                                    read(P::kTemperature, 20'000, 0), read(P::kPh, 8'100, 0),
                                    read(P::kAmmonia, 1'000, kHourMs)};
  };
  CHECK(only(F::kAmmoniaUnionised, readings(kDay - 7)).size() == 1);
  CHECK(only(F::kAmmoniaUnionised, readings(kDay - 8)).empty());
  CHECK(only(F::kAmmoniaUnionised, readings(kDay + 1)).empty());

  auto both = readings(kDay);
  both.push_back(read(P::kConductivity, 50'000, kHourMs));
  both.push_back(read(P::kTemperature, 20'000, kHourMs));
  CHECK(only(F::kAmmoniaUnionised, both)[0].from == std::vector<std::size_t>{3, 4 + 1, 2, 0});
}

TEST_CASE("combined chlorine is the total less the free of the same test, and never below nothing",
          "[water]") {
  const auto found =
      only(F::kChlorineCombined, {read(P::kChlorineFree, 300, 0), read(P::kChlorineTotal, 800, kMinuteMs)});
  REQUIRE(found.size() == 1);
  CHECK(found[0].value == 500);
  CHECK(found[0].formula.find("total chlorine as Cl2") == 0);
  CHECK(only(F::kChlorineCombined, {read(P::kChlorineFree, 300, 0), read(P::kChlorineTotal, 200, kMinuteMs)})
            .empty());
  CHECK(only(F::kChlorineCombined, {read(P::kChlorineFree, 300, 0), read(P::kChlorineTotal, 800, 31 * kMinuteMs)})
            .empty());
  const auto sea = only(F::kChlorineCombined, {read(P::kSalinity, 34'000, 0), read(P::kChlorineFree, 300, 0),
                                               read(P::kChlorineTotal, 800, kMinuteMs)});
  CHECK(sea[0].formula.find("total residual oxidant as Cl2") == 0);
}

// The rule is that of 9 CFR 3.106, annual text of 2015; the means were computed by an independent script.
TEST_CASE("three coliform samples at 48-hour intervals are averaged once the first exceeds the limit",
          "[water]") {
  const auto samples = [](std::int64_t first, std::int64_t second, std::int64_t third) {
    return std::vector<PoolReading>{read(P::kColiform, first, 9 * kHourMs),
                                    read(P::kColiform, second, 9 * kHourMs, kDay + 2),
                                    read(P::kColiform, third, 9 * kHourMs, kDay + 4)};
  };
  auto found = only(F::kColiformMean, samples(1600, 700, 500), kRule);
  REQUIRE(found.size() == 1);
  CHECK(found[0].value == 933'333);
  CHECK(found[0].coliform == ColiformVerdict::kMeets);
  CHECK(found[0].from == std::vector<std::size_t>{2, 1, 0});
  CHECK(only(F::kColiformMean, samples(1600, 900, 600), kRule)[0].coliform ==
        ColiformVerdict::kUnsatisfactory);
  CHECK(only(F::kColiformMean, samples(1500, 900, 600), kRule)[0].coliform ==
        ColiformVerdict::kUnsatisfactory);                                // 1000
  CHECK(only(F::kColiformMean, samples(1000, 900, 600), kRule).empty());  // The first does not exceed.
  CHECK(only(F::kColiformMean, samples(1600, 700, 500)).empty());         // No limit is known.
}

TEST_CASE("a coliform sample that comes too late is the first of its own", "[water]") {
  const std::vector<PoolReading> weekly = {read(P::kColiform, 1600, 0), read(P::kColiform, 1200, 0, kDay + 7),
                                           read(P::kColiform, 900, 0, kDay + 9),
                                           read(P::kColiform, 600, 0, kDay + 12)};
  const auto found = only(F::kColiformMean, weekly, kRule);
  REQUIRE(found.size() == 1);
  CHECK(found[0].value == 900'000);
  CHECK(found[0].from == std::vector<std::size_t>{3, 2, 1});
  // 72 hours are still near enough, a minute more is not; nor are two of one day further samples.
  const auto apart = [](WallMs ms) {
    return only(F::kColiformMean,
                {read(P::kColiform, 1600, 0), read(P::kColiform, 800, ms),
                 read(P::kColiform, 800, ms + 2 * kDayMs)},
                kRule)
        .size();
  };
  CHECK(apart(72 * kHourMs) == 1);
  CHECK(apart(72 * kHourMs + kMinuteMs) == 0);
  CHECK(apart(24 * kHourMs) == 1);
  CHECK(apart(24 * kHourMs - kMinuteMs) == 0);
}

TEST_CASE("a figure its formula refuses comes with the reason; one without a reading is left out", "[water]") {
  PoolReading ph = read(P::kPh, 8'100, 0);
  ph.ph_scale = PhScale::kTotal;
  std::vector<RefusedWater> refused;
  auto figures = derive_water({read(P::kTemperature, 12'000, 0), read(P::kSalinity, 34'000, 0), ph, read(P::kAmmonia, 50, kMinuteMs)}, {}, &refused);
  CHECK(figures.size() == 1);  // The density.
  REQUIRE(refused.size() == 1);
  CHECK(refused[0].figure == F::kAmmoniaUnionised);
  CHECK(refused[0].reason.find("NBS scale") != std::string::npos);
  CHECK(refused[0].reason.find("computing") == std::string::npos);
  CHECK(refused[0].from == std::vector<std::size_t>{3, 0, 2});

  refused.clear();
  derive_water({read(P::kChlorineFree, 300, 0), read(P::kChlorineTotal, 200, 0), read(P::kConductivity, 0, 0),
                read(P::kTemperature, 12'000, 0)},
               {}, &refused);
  REQUIRE(refused.size() == 2);
  CHECK(refused[0].figure == F::kSalinity);
  CHECK(refused[0].reason.find("no conductivity") != std::string::npos);
  CHECK(refused[1].figure == F::kChlorineCombined);
  CHECK(refused[1].reason.find("less than the free") != std::string::npos);

  refused.clear();
  derive_water({read(P::kConductivity, 50'000, 0), read(P::kAmmonia, 50, 0)}, {}, &refused);
  CHECK(refused.empty());
}
