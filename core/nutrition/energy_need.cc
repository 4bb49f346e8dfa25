#include "nutrition/energy_need.h"

#include <cmath>

#include "base/real.h"

namespace wrackline {
namespace {

constexpr const char* kCaution =
    "An estimate from body mass alone, not a ration and not a target: the vet decides what is fed. Growth, "
    "illness, moult, season and water temperature change the need; watch what is eaten and the body mass.";

Unexpected cannot_estimate(const char* why) {
  return fail(ErrorCode::kInvalid, std::string("estimating energy: ") + why);
}

Result<EnergyEstimate> estimate(std::uint64_t body_mass_mg, double kcal_of_a_kg, double exponent,
                                const Formula& formula) {
  if (body_mass_mg == 0) return cannot_estimate("the body mass is not known; weigh the animal first");
  const double kg = static_cast<double>(body_mass_mg) / 1e6;
  const std::optional<std::uint64_t> cal =
      whole<std::uint64_t>(kcal_of_a_kg * std::pow(kg, exponent) * 1000.0);
  if (!cal) return cannot_estimate("the figure is too large to say; look at the body mass's unit");
  EnergyEstimate out;
  out.energy_cal_per_day = *cal;
  out.formula = formula;
  out.caution = kCaution;
  return out;
}

}  // namespace

Result<EnergyEstimate> endotherm_resting_energy(std::uint64_t body_mass_mg) {
  WRACKLINE_TRY_VALUE(out, estimate(body_mass_mg, 70.0, 0.75, kEndothermResting));
  out.within_validity = body_mass_mg >= 20'000 && body_mass_mg <= 600'000'000;
  return out;
}

Result<EnergyEstimate> reptile_energy(const ReptileEnergyRequest& request) {
  if (!request.temperature_mdegc) return cannot_estimate("the temperature is not known; a reptile's need follows it");
  if (*request.temperature_mdegc < -5'000 || *request.temperature_mdegc > 50'000) {
    return cannot_estimate("the temperature is below -5 or above 50 degrees C; look whether it was read in degrees F");
  }
  if (request.accepted_by.find_first_not_of(" \t\r\n") == std::string::npos) {
    return cannot_estimate("nobody has accepted the formula; sources disagree, so the vet has to choose and sign");
  }
  const bool exponent_077 = request.formula == ReptileFormula::kExponent077;
  if (!exponent_077 && request.formula != ReptileFormula::kTenKleiber) {
    return cannot_estimate("no formula is chosen; sources disagree, so the vet has to choose one");
  }
  WRACKLINE_TRY_VALUE(out, exponent_077 ? estimate(request.body_mass_mg, 32.0, 0.77, kReptileExponent077)
                                        : estimate(request.body_mass_mg, 10.0, 0.75, kReptileTenKleiber));
  out.temperature_mdegc = request.temperature_mdegc;
  out.accepted_by = request.accepted_by;
  return out;
}

}  // namespace wrackline
