// This file says what another food must weigh to stand in for one that is missing.
#include <records.pb.h>

#include "base/rounding.h"
#include "husbandry/husbandry_calls.h"
#include "nutrition/substitution.h"
#include "reading/record_view.h"

namespace wrackline {
namespace {

Result<std::optional<std::uint32_t>> energy_of(Replica& replica, const proto::RecordRef& food) {
  constexpr const char* kDoing = "substituting a food";
  WRACKLINE_TRY_VALUE(state, require_record(replica, id_of(food), kDoing));
  proto::Food message;
  if (state.kind != static_cast<std::uint32_t>(Kind::kFood) || !message.ParseFromString(state.fields)) {
    return fail(ErrorCode::kInvalid, std::string(kDoing) + ": record " + to_text(id_of(food)) +
                                         " is no food; choose the missing food and the one in its place");
  }
  return message.has_energy_cal_per_g() ? std::optional(message.energy_cal_per_g()) : std::nullopt;
}

}  // namespace

Status handle_substitute(Replica& replica, const proto::SubstituteCall& call, proto::SubstituteReply& out) {
  if (call.equality() != proto::EQUALITY_MASS && call.equality() != proto::EQUALITY_ENERGY) {
    return fail(ErrorCode::kInvalid, "substituting a food: say what is to be kept equal, mass or energy");
  }
  SubstitutionInput input;
  input.rule =
      call.equality() == proto::EQUALITY_MASS ? SubstitutionRule::kEqualMass : SubstitutionRule::kEqualEnergy;
  input.missing_mg = call.mass_mg();
  WRACKLINE_TRY_VALUE(missing, energy_of(replica, call.food()));
  WRACKLINE_TRY_VALUE(by, energy_of(replica, call.by()));
  input.missing_energy_cal_per_g = missing;
  input.substitute_energy_cal_per_g = by;
  WRACKLINE_TRY_VALUE(substitution, substitute(input));
  out.set_mass_mg(substitution.substitute_mg);
  if (substitution.missing_energy_cal) {
    if (const auto cal = fit<std::int64_t>(*substitution.missing_energy_cal)) out.set_energy_before_cal(*cal);
  }
  if (substitution.substitute_energy_cal) {
    if (const auto cal = fit<std::int64_t>(*substitution.substitute_energy_cal)) out.set_energy_after_cal(*cal);
  }
  return {};
}

}  // namespace wrackline
