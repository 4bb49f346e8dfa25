// A substitute for a missing food, by mass or by energy.
#include "nutrition/substitution.h"

#include <catch2/catch.hpp>
#include <limits>

#include "support/random.h"

using namespace wrackline;

// Herring 1580 and squid 920 cal/g (USDA SR-28); 500 g * 1580 / 920 = 858.696 g (arithmetic).
TEST_CASE("500 g of herring is 858.7 g of squid by energy and 500 g by mass", "[nutrition]") {
  const Result<Substitution> by_energy = substitute({SubstitutionRule::kEqualEnergy, 500'000, 1580, 920});
  REQUIRE(by_energy);
  CHECK(by_energy->substitute_mg == 858'696);
  CHECK(by_energy->missing_energy_cal == 790'000u);
  CHECK(by_energy->substitute_energy_cal == 790'000u);
  const Result<Substitution> by_mass = substitute({SubstitutionRule::kEqualMass, 500'000, 1580, 920});
  REQUIRE(by_mass);
  CHECK(by_mass->substitute_mg == 500'000);
  CHECK(by_mass->substitute_energy_cal == 460'000u);
}

TEST_CASE("equal energy is refused when one of the energies is not known", "[nutrition]") {
  for (const SubstitutionInput& input :
       {SubstitutionInput{SubstitutionRule::kEqualEnergy, 500'000, std::nullopt, 920},
        SubstitutionInput{SubstitutionRule::kEqualEnergy, 500'000, 1580, std::nullopt},
        SubstitutionInput{SubstitutionRule::kEqualEnergy, 500'000, 0, 920},
        SubstitutionInput{SubstitutionRule::kEqualEnergy, 500'000, 1580, 0}}) {
    CHECK(substitute(input).error().code == ErrorCode::kInvalid);
  }
}

TEST_CASE("equal mass needs no energy, and tells the one it does not know as not known", "[nutrition]") {
  const Result<Substitution> by_mass = substitute({SubstitutionRule::kEqualMass, 500'000, std::nullopt, 920});
  REQUIRE(by_mass);
  CHECK(by_mass->substitute_mg == 500'000);
  CHECK_FALSE(by_mass->missing_energy_cal);
  CHECK(by_mass->substitute_energy_cal == 460'000u);
}

TEST_CASE("no mass, or one too large to say, is refused", "[nutrition]") {
  CHECK_FALSE(substitute({SubstitutionRule::kEqualMass, 0, 1580, 920}));
  CHECK_FALSE(
      substitute({SubstitutionRule::kEqualEnergy, std::numeric_limits<std::uint64_t>::max(), 1580, 920}));
}

TEST_CASE("equal energy is equal to within half a milligram of the substitute", "[nutrition]") {
  Random random = test_random("substitution");
  for (int i = 0; i < 1000; ++i) {
    const std::uint64_t missing_mg = 1 + random.below(100'000'000);
    const auto missing = static_cast<std::uint32_t>(1 + random.below(9'000));
    const auto other = static_cast<std::uint32_t>(1 + random.below(9'000));
    const Result<Substitution> swap =
        substitute({SubstitutionRule::kEqualEnergy, missing_mg, missing, other});
    REQUIRE(swap);
    const auto wanted_mcal = static_cast<std::int64_t>(missing_mg * missing);
    const auto given_mcal = static_cast<std::int64_t>(swap->substitute_mg * other);
    CAPTURE(missing_mg, missing, other);
    REQUIRE(2 * std::abs(wanted_mcal - given_mcal) <= static_cast<std::int64_t>(other));
  }
}
