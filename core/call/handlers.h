// One function for each call of proto/call.proto; dispatch.cc chooses among them. Only call/*.cc include this:
// it is the one header of this folder that shows generated messages.
//
// A handler fills the reply's part for its call, or returns the failure; then the reply holds nothing else. Those that write
// in a person's name (see needs_author in dispatch.cc) run within one Write, which dispatch commits or gives up.
#pragma once

#include <call.pb.h>

#include "base/result.h"
#include "replica/replica.h"
#include "store/store.h"

namespace wrackline {

inline ChangeId id_of(const proto::RecordRef& ref) {
  return ref.seq() > kSeqMax ? ChangeId{} : ChangeId{LogId{ref.log()}, ref.seq()};
}
inline void put_id(ChangeId id, proto::RecordRef& out) {
  out.set_log(id.log.value);
  out.set_seq(id.seq);
}

// Fills the view of a record that is held. `place` has a state.
Status put_view(Replica& replica, Place place, const RecordState& state, proto::RecordView& out);
// The state of a record, or kNotFound with `doing` in its message.
Result<RecordState> require_record(Replica& replica, ChangeId id, const char* doing);

Status handle_status(Replica& replica, const Bytes& session, proto::StatusReply& out);
Status handle_get(Replica& replica, const proto::GetCall& call, proto::GetReply& out);
Status handle_list(Replica& replica, const proto::ListCall& call, proto::ListReply& out);
Status handle_review(Replica& replica, proto::ReviewReply& out);
Status handle_held(Replica& replica, const proto::HeldCall& call, proto::HeldReply& out);
Status handle_review_detail(Replica& replica, const proto::ReviewDetailCall& call, proto::ReviewDetailReply& out);
Status handle_trail(Replica& replica, const proto::TrailCall& call, proto::TrailReply& out);
Status handle_trail_search(Replica& replica, const proto::TrailSearchCall& call, proto::TrailSearchReply& out);
Status handle_closes(Replica& replica, const proto::ClosesCall& call, proto::ClosesReply& out);
Status handle_intake(Replica& replica, const proto::IntakeCall& call, proto::IntakeReply& out);

// What there is to do and how the animals do: proto/husbandry.proto.
Status handle_round(Replica& replica, const proto::RoundCall& call, proto::RoundReply& out);
Status handle_prep(Replica& replica, const proto::PrepCall& call, proto::PrepReply& out);
Status handle_substitute(Replica& replica, const proto::SubstituteCall& call, proto::SubstituteReply& out);
Status handle_dose_check(Replica& replica, const proto::DoseCheckCall& call, proto::DoseCheckReply& out);
Status handle_enrichment(Replica& replica, const proto::EnrichmentCall& call, proto::EnrichmentReply& out);
Status handle_training(Replica& replica, const proto::TrainingCall& call, proto::TrainingReply& out);
Status handle_body(Replica& replica, const proto::BodyCall& call, proto::BodyReply& out);
Status handle_scan(Replica& replica, const proto::ScanCall& call, proto::ScanReply& out);
Status handle_attention(Replica& replica, const proto::AttentionCall& call, proto::AttentionReply& out);
Status handle_water(Replica& replica, const proto::WaterCall& call, proto::WaterReply& out);
Status handle_stock(Replica& replica, const proto::StockCall& call, proto::StockReply& out);
Status handle_intake_trend(Replica& replica, const proto::IntakeTrendCall& call, proto::IntakeTrendReply& out);
Status handle_collection_day(Replica& replica, const proto::CollectionDayCall& call, proto::CollectionDayReply& out);

// What a writing call was confirmed with, and where to put the questions that are still open (call/questions.h).
struct Asking {
  const proto::Confirmation& confirmed;
  proto::Failure& questions;
};

// Takes the records out of the call.
Status handle_log(Replica& replica, RecordId by, proto::LogCall& call, const Asking& asking, proto::LogReply& out);
Status handle_edit(Replica& replica, RecordId by, const proto::EditCall& call, const Asking& asking,
                   proto::EditReply& out);
Status handle_strike(Replica& replica, RecordId by, const proto::StrikeCall& call, const Asking& asking,
                     proto::EditReply& out);
Status handle_fold(Replica& replica, RecordId by, const proto::FoldCall& call, const Asking& asking,
                   proto::EditReply& out);
Status handle_accept(Replica& replica, RecordId by, const proto::AcceptCall& call, const Asking& asking,
                     proto::EditReply& out);

// Whether this replica may write what the call would, in its author's name. Errors: kAtHub (only the hub may), kUnauthorized (they have to
// sign in; or it is more than care, by somebody known by name only), of the store.
Status check_by_whom(Replica& replica, const proto::Call& call);
// The same at a hub, for somebody whose PIN it has checked. Errors: kUnauthorized (it would let a hold of sync/hub_holds.h go), of the store.
Status check_at_hub(Replica& hub, const proto::Call& call);

Status handle_sign_in(Replica& replica, const proto::SignInCall& call, proto::SignInReply& out);
Status handle_sign_out(Replica& replica, const proto::SignOutCall& call, proto::SignOutReply& out);
Status handle_prove(Replica& replica, const proto::ProveCall& call, proto::ProveReply& out);
Status handle_day_close(Replica& replica, RecordId by, const proto::DayCloseCall& call, const Asking& asking,
                        proto::DayCloseReply& out);

Status handle_authorize(Replica& replica, const proto::AuthorizeCall& call, proto::AuthorizeReply& out);
Status handle_exchange(Replica& replica, const proto::ExchangeCall& call, proto::ExchangeStep& out);
Status handle_changed(Replica& replica, const proto::ChangedCall& call, proto::ChangedReply& out);
Status handle_news(Replica& replica, proto::NewsStep& out);
Status handle_bundle_export(Replica& replica, const proto::BundleExportCall& call, proto::BundleExportReply& out);
Status handle_bundle_import(Replica& replica, const proto::BundleImportCall& call, proto::BundleImportReply& out);

Status handle_verify(Replica& replica, const proto::VerifyCall& call, proto::VerifyReply& out);
Status handle_evidence(Replica& replica, const proto::EvidenceCall& call, proto::EvidenceReply& out);
Status handle_rebuild(Replica& replica, proto::RebuildReply& out);
Status handle_digest(Replica& replica, proto::DigestReply& out);

}  // namespace wrackline
