// These calls say who wrote what, what came of it and whether it stands: one function for each such call of
// proto/call.proto. Each fills the reply's part for its call, or returns the failure; then the reply holds nothing else.
#pragma once

#include <proof.pb.h>
#include <call.pb.h>

#include "base/result.h"
#include "replica/replica.h"

namespace wrackline {

Status handle_review(Replica& replica, proto::ReviewReply& out);
Status handle_held(Replica& replica, const proto::HeldCall& call, proto::HeldReply& out);
Status handle_review_detail(Replica& replica, const proto::ReviewDetailCall& call, proto::ReviewDetailReply& out);
Status handle_trail(Replica& replica, const proto::TrailCall& call, proto::TrailReply& out);
Status handle_trail_search(Replica& replica, const proto::TrailSearchCall& call, proto::TrailSearchReply& out);
Status handle_closes(Replica& replica, const proto::ClosesCall& call, proto::ClosesReply& out);
Status handle_verify(Replica& replica, const proto::VerifyCall& call, proto::VerifyReply& out);
Status handle_evidence(Replica& replica, const proto::EvidenceCall& call, proto::EvidenceReply& out);
Status handle_rebuild(Replica& replica, proto::RebuildReply& out);
Status handle_digest(Replica& replica, proto::DigestReply& out);

}  // namespace wrackline
