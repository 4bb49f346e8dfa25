// Whether what a call would write may be written by this replica, given how it knows the person: asked before anything is. The table is
// model/authority.h's; roles are judged where the change is made (replica/author.h).

#include <records.pb.h>

#include <algorithm>

#include "call/handlers.h"
#include "model/authority.h"
#include "model/kinds.h"
#include "reading/record_view.h"
#include "replica/sign_in.h"
#include "sync/hub_holds.h"

namespace wrackline {
namespace {

Result<Act> act_on(Replica& replica, RecordId author, const proto::RecordRef& record, ByteView fields, const std::vector<std::uint32_t>& clears) {
  WRACKLINE_TRY_VALUE(state, replica.store().records().load(replica.store().logs().find_place(id_of(record))));
  return act_of(state ? state->kind : 0, false, author, fields, clears);
}

// The acts a call amounts to.
Result<std::vector<Act>> acts_of(Replica& replica, const proto::Call& call) {
  const RecordId author = id_of(call.author());
  std::vector<Act> out;
  const auto add_field = [&](const proto::RecordRef& record, std::uint32_t field) -> Status {
    WRACKLINE_TRY_VALUE(act, act_on(replica, author, record, {}, {field}));
    out.push_back(act);
    return {};
  };
  switch (call.what_case()) {
    case proto::Call::kLog:
      for (const proto::NewRecord& record : call.log().records()) out.push_back(act_of(record.kind(), true, author, record.fields(), {}));
      break;
    case proto::Call::kEdit: {
      const proto::EditCall& edit = call.edit();
      WRACKLINE_TRY_VALUE(act, act_on(replica, author, edit.record(), edit.fields(), {edit.clears().begin(), edit.clears().end()}));
      out.push_back(act);
      break;
    }
    case proto::Call::kStrike: WRACKLINE_TRY(add_field(call.strike().record(), kStandingField)); break;
    case proto::Call::kFold: WRACKLINE_TRY(add_field(call.fold().record(), kSameAsField)); break;
    case proto::Call::kAccept: WRACKLINE_TRY(add_field(call.accept().record(), kAcceptedField)); break;
    case proto::Call::kDayClose: out.push_back(act_of(static_cast<std::uint32_t>(Kind::kDayClose), true, author, {}, {})); break;
    default: break;
  }
  return out;
}

}  // namespace

Status check_at_hub(Replica& hub, const proto::Call& call) {
  const proto::RecordRef* record = call.has_edit() ? &call.edit().record() : call.has_strike() ? &call.strike().record() : call.has_fold() ? &call.fold().record() : nullptr;
  if (record == nullptr) return {};
  WRACKLINE_TRY_VALUE(acts, acts_of(hub, call));
  if (!std::any_of(acts.begin(), acts.end(), decides_on_hold)) return {};
  WRACKLINE_TRY_VALUE(policy, hub.sign_in().policy());
  WRACKLINE_TRY_VALUE(is_of_hub, HubHolds(hub.store()).has(id_of(*record), policy.proof_required));
  if (!is_of_hub) return {};
  return fail(ErrorCode::kUnauthorized, "taking in what is held: only the hub may write it, so nobody takes it in; nothing was changed; whoever may has the hub write it anew");
}

Status check_by_whom(Replica& replica, const proto::Call& call) {
  WRACKLINE_TRY_VALUE(policy, replica.sign_in().policy());
  std::vector<Act> acts;
  if (policy.proof_required) {
    // Before it is asked who is signed in: the hub asks for the PIN.
    WRACKLINE_TRY_VALUE(found, acts_of(replica, call));
    acts = std::move(found);
    if (!replica.is_hub() && std::any_of(acts.begin(), acts.end(), is_at_hub)) {
      return fail(ErrorCode::kAtHub, "writing: people and their roles, devices, limits and the facility's record are changed at the hub, with the PIN of who may; "
                                     "nothing was written here; do it within reach of the hub");
    }
  }
  WRACKLINE_TRY_VALUE(known, replica.sign_in().allow(id_of(call.author()), call.session()));
  if (known != SignIn::Known::kByName) return {};
  if (!policy.proof_required) {
    WRACKLINE_TRY_VALUE(found, acts_of(replica, call));
    acts = std::move(found);
  }
  if (std::any_of(acts.begin(), acts.end(), needs_proof)) {
    return fail(ErrorCode::kUnauthorized, "writing: this device does not know this person's PIN yet, so it takes care from them and no more; nothing was "
                                          "written; sign in within reach of the hub and do it again");
  }
  return {};
}

}  // namespace wrackline
