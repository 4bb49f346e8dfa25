// Calls about who is at this device open and end sessions, and prepare proofs.
#include <proving.pb.h>
#include <records.pb.h>

#include "call/handlers.h"
#include "model/kinds.h"
#include "model/sign_in_rules.h"
#include "reading/record_view.h"
#include "replica/author.h"
#include "replica/sign_in.h"
#include "store/store.h"
#include "sync/presences.h"

namespace wrackline {

Status handle_sign_in(Replica& replica, const proto::SignInCall& call, proto::SignInReply& out) {
  const RecordId person = id_of(call.person());
  WRACKLINE_TRY_VALUE(token, replica.sign_in().open(person, call.pin(), call.instead_of()));
  WRACKLINE_TRY_VALUE(session, replica.sign_in().find(token));
  WRACKLINE_TRY_VALUE(record, require_record(replica, person, "signing in"));
  out.set_token(token);
  out.set_name(sign_in_person(record.fields).name);
  if (session) out.set_ends_ms(session->ends_ms);
  WRACKLINE_TRY_VALUE(policy, replica.sign_in().policy());
  out.set_proof_required(policy.proof_required);
  WRACKLINE_TRY_VALUE(proof, replica.presences().proof({person, replica.author().key(), replica.now(), replica.now()}));
  if (proof) out.set_proven_until_ms(proof->until);
  out.set_prove(policy.proof_required && (!proof || proof->until <= replica.now() + kHourMs));
  return {};
}

Status handle_sign_out(Replica& replica, const proto::SignOutCall& call, proto::SignOutReply&) {
  return replica.sign_in().close(call.token());
}

Status handle_prove(Replica& replica, const proto::ProveCall& call, proto::ProveReply& out) {
  WRACKLINE_TRY_VALUE(mark, replica.sign_in().prepare(id_of(call.person()), call.pin()));
  proto::PresenceRequest request;
  *request.mutable_person() = call.person();
  request.set_pin(call.pin());
  request.set_pin_mark(Bytes(view(mark)));
  out.set_request(request.SerializeAsString());
  return {};
}

}  // namespace wrackline
