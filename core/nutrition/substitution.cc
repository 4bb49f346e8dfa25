#include "nutrition/substitution.h"

#include "base/rounding.h"

namespace wrackline {
namespace {

Unexpected cannot_substitute(const char* why) {
  return fail(ErrorCode::kInvalid, std::string("substituting a food: ") + why);
}

std::optional<std::uint64_t> energy_cal(std::uint64_t mass_mg,
                                        std::optional<std::uint32_t> energy_cal_per_g) {
  if (!energy_cal_per_g) return std::nullopt;
  return fit<std::uint64_t>(divide_rounded(Int128(mass_mg) * *energy_cal_per_g, 1000));
}

}  // namespace

Result<Substitution> substitute(const SubstitutionInput& input) {
  if (input.missing_mg == 0) return cannot_substitute("the plan asks for no mass of the missing food; give one");
  std::uint64_t substitute_mg = input.missing_mg;
  if (input.rule == SubstitutionRule::kEqualEnergy) {
    if (input.missing_energy_cal_per_g.value_or(0) == 0 ||
        input.substitute_energy_cal_per_g.value_or(0) == 0) {
      return cannot_substitute(
          "the energy of one of the two foods is not known or 0; add it to the food, or keep the mass equal");
    }
    const std::optional<std::uint64_t> mass_mg = fit<std::uint64_t>(divide_rounded(
        Int128(input.missing_mg) * *input.missing_energy_cal_per_g, *input.substitute_energy_cal_per_g));
    if (!mass_mg) return cannot_substitute("the mass is too large to say; look at the units");
    substitute_mg = *mass_mg;
  }
  return Substitution{substitute_mg, energy_cal(input.missing_mg, input.missing_energy_cal_per_g),
                      energy_cal(substitute_mg, input.substitute_energy_cal_per_g)};
}

}  // namespace wrackline
