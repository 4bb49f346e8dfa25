// Who is at this device: sessions are opened and ended, PINs set.
#include <records.pb.h>

#include "base/wire.h"
#include "call/handlers.h"
#include "model/kinds.h"
#include "model/sign_in_rules.h"
#include "replica/author.h"
#include "replica/sign_in.h"
#include "store/store.h"
#include "sync/facility_policy.h"

namespace wrackline {

Status handle_sign_in(Replica& replica, const proto::SignInCall& call, proto::SignInReply& out) {
  const RecordId person = id_of(call.person());
  WRACKLINE_TRY_VALUE(token, replica.sign_in().open(person, call.pin(), call.instead_of()));
  WRACKLINE_TRY_VALUE(session, replica.sign_in().find(token));
  WRACKLINE_TRY_VALUE(record, require_record(replica, person, "signing in"));
  out.set_token(token);
  out.set_name(sign_in_person(record.fields).name);
  if (session) out.set_ends_ms(session->ends_ms);
  WRACKLINE_TRY_VALUE(policy, facility_policy(replica.store()));
  out.set_proof_required(policy.proof_required);
  return {};
}

Status handle_sign_out(Replica& replica, const proto::SignOutCall& call, proto::SignOutReply&) {
  return replica.sign_in().close(call.token());
}

Status handle_set_pin(Replica& replica, RecordId by, const Bytes& session, const proto::SetPinCall& call,
                      proto::EditReply& out) {
  constexpr const char* kDoing = "setting a PIN";
  const RecordId person = id_of(call.person());
  WRACKLINE_TRY_VALUE(record, require_record(replica, person, kDoing));
  if (record.kind != static_cast<std::uint32_t>(Kind::kPerson) || !built_in_of(record.fields).in_account()) {
    return fail(ErrorCode::kInvalid, "setting a PIN: that is no person in account; nothing was changed; choose somebody from the list");
  }
  const bool is_own_first = person == by && sign_in_person(record.fields).pin_hash.empty();
  if (!is_own_first) WRACKLINE_TRY(replica.sign_in().allow(by, session));
  Edit edit;
  edit.record = person;
  // Why people change their own PIN is nobody's business; why somebody else does is.
  edit.reason = call.reason().empty() && person == by ? "their own PIN" : call.reason();
  edit.settle = true;  // Two PINs given out of reach of each other: this one is meant.
  if (call.pin().empty()) {
    edit.clears.push_back(kPinField);
  } else {
    WRACKLINE_TRY_VALUE(hash, replica.sign_in().hash_of(person, call.pin()));
    append_bytes_field(edit.fields, kPinField, hash);
  }
  WRACKLINE_TRY_VALUE(change, replica.author().edit_in(by, std::move(edit)));
  put_id(change, *out.mutable_change());
  return {};
}

}  // namespace wrackline
