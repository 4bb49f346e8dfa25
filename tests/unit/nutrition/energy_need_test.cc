// Estimates of energy: what stands beside each, and that none is made without it. Values are in
// tests/reference.
#include "nutrition/energy_need.h"

#include <catch2/catch.hpp>
#include <limits>

using namespace wrackline;

namespace {

ReptileEnergyRequest request() { return {5'000'000, ReptileFormula::kTenKleiber, 26'000, "R. Castell, vet"}; }

}  // namespace

TEST_CASE("an estimate carries equation, source and caution", "[nutrition]") {
  const Result<EnergyEstimate> seal = endotherm_resting_energy(25'000'000);
  REQUIRE(seal);
  CHECK(std::string(seal->formula.name) == "70 * (body mass in kg)^0.75 kcal a day, at rest");
  CHECK(std::string(seal->formula.source).find("Kleiber") == 0);
  CHECK(std::string(seal->caution).find("not a target") != std::string::npos);
  CHECK_FALSE(seal->temperature_mdegc);
  CHECK(seal->within_validity == true);
  CHECK(endotherm_resting_energy(19'999)->within_validity == false);
  CHECK(endotherm_resting_energy(600'000'001)->within_validity == false);
}

TEST_CASE("a reptile's estimate carries temperature and the name of who accepted it", "[nutrition]") {
  const Result<EnergyEstimate> estimate = reptile_energy(request());
  REQUIRE(estimate);
  CHECK(estimate->temperature_mdegc == 26'000);
  CHECK(estimate->accepted_by == "R. Castell, vet");
  CHECK(std::string(estimate->formula.name).find("10 *") == 0);
  CHECK(std::string(estimate->caution).find("not a target") != std::string::npos);
  // The sources give no range, so nothing is said of it.
  CHECK_FALSE(estimate->within_validity.has_value());
}

TEST_CASE("there is no default formula, temperature or name for a reptile", "[nutrition]") {
  const auto refused = [](void (*spoil)(ReptileEnergyRequest&)) {
    ReptileEnergyRequest spoilt = request();
    spoil(spoilt);
    return reptile_energy(spoilt).error().code == ErrorCode::kInvalid;
  };
  CHECK(reptile_energy(ReptileEnergyRequest{}).error().code == ErrorCode::kInvalid);
  CHECK(refused([](ReptileEnergyRequest& r) { r.formula = ReptileFormula::kNotChosen; }));
  CHECK(refused([](ReptileEnergyRequest& r) { r.formula = static_cast<ReptileFormula>(9); }));
  CHECK(refused([](ReptileEnergyRequest& r) { r.temperature_mdegc.reset(); }));
  CHECK(refused([](ReptileEnergyRequest& r) { r.temperature_mdegc = 79'000; }));
  CHECK(refused([](ReptileEnergyRequest& r) { r.accepted_by = " \t"; }));
  CHECK(refused([](ReptileEnergyRequest& r) { r.body_mass_mg = 0; }));
}

TEST_CASE("without a body mass there is no estimate", "[nutrition]") {
  const Result<EnergyEstimate> none = endotherm_resting_energy(0);
  CHECK(none.error().code == ErrorCode::kInvalid);
  CHECK(none.error().message.find("weigh") != std::string::npos);
  CHECK(endotherm_resting_energy(std::numeric_limits<std::uint64_t>::max()));
}
