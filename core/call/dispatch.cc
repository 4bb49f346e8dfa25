#include "call/dispatch.h"
#include "husbandry/husbandry_calls.h"
#include "provenance/provenance_calls.h"
#include "reading/record_view.h"
#include "report/report_calls.h"

#include <google/protobuf/arena.h>

#include <exception>

#include "call/handlers.h"
#include "replica/at_hub.h"
#include "replica/author.h"
#include "replica/sign_in.h"

namespace wrackline {
namespace {

bool reads_only(proto::Call::WhatCase what) {
  switch (what) {
    case proto::Call::kStatus:
    case proto::Call::kGet:
    case proto::Call::kList:
    case proto::Call::kTrail:
    case proto::Call::kReview:
    case proto::Call::kIntake:
    case proto::Call::kDigest:
    case proto::Call::kRound:
    case proto::Call::kPrep:
    case proto::Call::kSubstitute:
    case proto::Call::kDoseCheck:
    case proto::Call::kEnrichment:
    case proto::Call::kTraining:
    case proto::Call::kBody:
    case proto::Call::kScan:
    case proto::Call::kAttention:
    case proto::Call::kWater:
    case proto::Call::kStock:
    case proto::Call::kIntakeTrend:
    case proto::Call::kCollectionDay:
    case proto::Call::kHeld:
    case proto::Call::kTrailSearch:
    case proto::Call::kReviewDetail:
    case proto::Call::kCloses:
    case proto::Call::kChanged:
    case proto::Call::kNews:
    case proto::Call::kReport:
    case proto::Call::kCsv:
      return true;
    default:
      return false;
  }
}

bool needs_author(proto::Call::WhatCase what) {
  switch (what) {
    case proto::Call::kLog:
    case proto::Call::kEdit:
    case proto::Call::kStrike:
    case proto::Call::kFold:
    case proto::Call::kAccept:
    case proto::Call::kDayClose:
      return true;
    default:
      return false;
  }
}

// `at_hub`: whoever asks has had their PIN checked; null on a device.
Status handle(Replica& replica, proto::Call& call, proto::Reply& reply, proto::Failure& refusal, const AtHub* at_hub) {
  const RecordId by = id_of(call.author());
  if (needs_author(call.what_case()) && !by) {
    return fail(ErrorCode::kInvalid, "writing: nobody is signed in; nothing was logged; sign in first");
  }
  if (needs_author(call.what_case())) WRACKLINE_TRY(at_hub == nullptr ? check_by_whom(replica, call) : check_at_hub(replica, call));
  const Asking asking{call.confirmed(), refusal};
  switch (call.what_case()) {
    case proto::Call::kStatus: return handle_status(replica, call.session(), *reply.mutable_status());
    case proto::Call::kLog: return handle_log(replica, by, *call.mutable_log(), asking, *reply.mutable_log());
    case proto::Call::kEdit: return handle_edit(replica, by, call.edit(), asking, *reply.mutable_edit());
    case proto::Call::kStrike: return handle_strike(replica, by, call.strike(), asking, *reply.mutable_edit());
    case proto::Call::kFold: return handle_fold(replica, by, call.fold(), asking, *reply.mutable_edit());
    case proto::Call::kAccept: return handle_accept(replica, by, call.accept(), asking, *reply.mutable_edit());
    case proto::Call::kGet: return handle_get(replica, call.get(), *reply.mutable_get());
    case proto::Call::kList: return handle_list(replica, call.list(), *reply.mutable_list());
    case proto::Call::kTrail: return handle_trail(replica, call.trail(), *reply.mutable_trail());
    case proto::Call::kReview: return handle_review(replica, *reply.mutable_review());
    case proto::Call::kIntake: return handle_intake(replica, call.intake(), *reply.mutable_intake());
    case proto::Call::kExchange: return handle_exchange(replica, call.exchange(), *reply.mutable_exchange());
    case proto::Call::kBundleExport: return handle_bundle_export(replica, call.bundle_export(), *reply.mutable_bundle_export());
    case proto::Call::kBundleImport: return handle_bundle_import(replica, call.bundle_import(), *reply.mutable_bundle_import());
    case proto::Call::kVerify: return handle_verify(replica, call.verify(), *reply.mutable_verify());
    case proto::Call::kRebuild: return handle_rebuild(replica, *reply.mutable_rebuild());
    case proto::Call::kDigest: return handle_digest(replica, *reply.mutable_digest());
    case proto::Call::kRound: return handle_round(replica, call.round(), *reply.mutable_round());
    case proto::Call::kPrep: return handle_prep(replica, call.prep(), *reply.mutable_prep());
    case proto::Call::kSubstitute: return handle_substitute(replica, call.substitute(), *reply.mutable_substitute());
    case proto::Call::kDoseCheck: return handle_dose_check(replica, call.dose_check(), *reply.mutable_dose_check());
    case proto::Call::kEnrichment: return handle_enrichment(replica, call.enrichment(), *reply.mutable_enrichment());
    case proto::Call::kTraining: return handle_training(replica, call.training(), *reply.mutable_training());
    case proto::Call::kBody: return handle_body(replica, call.body(), *reply.mutable_body());
    case proto::Call::kScan: return handle_scan(replica, call.scan(), *reply.mutable_scan());
    case proto::Call::kAttention: return handle_attention(replica, call.attention(), *reply.mutable_attention());
    case proto::Call::kWater: return handle_water(replica, call.water(), *reply.mutable_water());
    case proto::Call::kStock: return handle_stock(replica, call.stock(), *reply.mutable_stock());
    case proto::Call::kIntakeTrend: return handle_intake_trend(replica, call.intake_trend(), *reply.mutable_intake_trend());
    case proto::Call::kCollectionDay: return handle_collection_day(replica, call.collection_day(), *reply.mutable_collection_day());
    case proto::Call::kEvidence: return handle_evidence(replica, call.evidence(), *reply.mutable_evidence());
    case proto::Call::kHeld: return handle_held(replica, call.held(), *reply.mutable_held());
    case proto::Call::kSignIn: return handle_sign_in(replica, call.sign_in(), *reply.mutable_sign_in());
    case proto::Call::kSignOut: return handle_sign_out(replica, call.sign_out(), *reply.mutable_sign_out());
    case proto::Call::kProve: return handle_prove(replica, call.prove(), *reply.mutable_prove());
    case proto::Call::kAuthorize: return handle_authorize(replica, call.authorize(), *reply.mutable_authorize());
    case proto::Call::kTrailSearch: return handle_trail_search(replica, call.trail_search(), *reply.mutable_trail_search());
    case proto::Call::kReviewDetail: return handle_review_detail(replica, call.review_detail(), *reply.mutable_review_detail());
    case proto::Call::kDayClose: return handle_day_close(replica, by, call.day_close(), asking, *reply.mutable_day_close());
    case proto::Call::kCloses: return handle_closes(replica, call.closes(), *reply.mutable_closes());
    case proto::Call::kChanged: return handle_changed(replica, call.changed(), *reply.mutable_changed());
    case proto::Call::kNews: return handle_news(replica, *reply.mutable_news());
    case proto::Call::kReport: return handle_report(replica, call.report(), *reply.mutable_report());
    case proto::Call::kCsv: return handle_csv(replica, call.csv(), *reply.mutable_csv());
    case proto::Call::WHAT_NOT_SET: break;
  }
  return fail(ErrorCode::kUnsupported, "calling the core: this release does not know the call; nothing was done; update it");
}

// A question is answered from one moment of the records.
Status read_only(Replica& replica, proto::Call& call, proto::Reply& reply, proto::Failure& refusal, const AtHub* at_hub) {
  const Result<Transaction> moment = replica.store().begin_read();
  if (!moment) return fail(moment.error());
  return handle(replica, call, reply, refusal, at_hub);
}

// Questions, judgement and writing in a person's name see one moment too: nobody writes in between. The file is locked
// once, and what fails is given up as a whole.
Status write_in_name(Replica& replica, proto::Call& call, proto::Reply& reply, proto::Failure& refusal, const AtHub* at_hub) {
  WRACKLINE_TRY_VALUE(write, replica.store().begin_write());
  const std::map<LogClass, ChangeId> before = replica.author().heads();
  WRACKLINE_TRY(handle(replica, call, reply, refusal, at_hub));
  if (call.log().check_only()) return {};  // The Write is given up.
  if (at_hub != nullptr) WRACKLINE_TRY(note_asked(replica, *at_hub, before));
  return replica.author().commit(write);
}

// These begin their own transactions, and some of them several.
Status work(Replica& replica, proto::Call& call, proto::Reply& reply, proto::Failure& refusal, const AtHub* at_hub) {
  WRACKLINE_TRY(replica.store().refresh());
  return handle(replica, call, reply, refusal, at_hub);
}

Bytes failure(ErrorCode code, const std::string& message, const proto::Failure& refusal = {}) {
  proto::Reply reply;
  *reply.mutable_failure() = refusal;
  reply.mutable_failure()->set_code(static_cast<std::uint32_t>(code));
  reply.mutable_failure()->set_message(message);
  return reply.SerializeAsString();
}

Bytes dispatch_or_throw(Replica& replica, ByteView bytes, CallScope scope, const AtHub* at_hub) {
  // A call of a thousand records is thousands of small messages: taken from one arena and given back in one piece.
  google::protobuf::Arena arena;
  proto::Call& call = *google::protobuf::Arena::CreateMessage<proto::Call>(&arena);
  if (bytes.size() > (512u << 20) || !call.ParseFromArray(bytes.data(), static_cast<int>(bytes.size()))) {
    return failure(ErrorCode::kMalformed, "calling the core: the bytes are no call; nothing was done");
  }
  if (scope == CallScope::kReadOnly && !reads_only(call.what_case())) {
    return failure(ErrorCode::kUnauthorized, "calling the core: from here the records may only be read; nothing was done");
  }
  if (at_hub != nullptr) {
    if (!needs_author(call.what_case())) {
      return failure(ErrorCode::kUnauthorized, "calling the hub: only what is written in a person's name is asked for with a PIN; nothing was done");
    }
    put_id(at_hub->person, *call.mutable_author());
  }
  proto::Reply& reply = *google::protobuf::Arena::CreateMessage<proto::Reply>(&arena);
  proto::Failure refusal;
  const auto run = reads_only(call.what_case()) ? read_only : needs_author(call.what_case()) ? write_in_name : work;
  const Status status = run(replica, call, reply, refusal, at_hub);
  if (!status) return failure(status.error().code, status.error().message, refusal);
  return reply.SerializeAsString();
}

}  // namespace

namespace {

Bytes dispatch_safely(Replica& replica, ByteView call, CallScope scope, const AtHub* at_hub) noexcept {
  // Nothing of ours throws; what a library throws (no memory left) ends here. Open transactions were rolled
  // back on the way.
  try {
    return dispatch_or_throw(replica, call, scope, at_hub);
  } catch (const std::exception&) {
    return failure(ErrorCode::kInternal, "calling the core: something failed inside it; nothing of this call was kept");
  } catch (...) {
    return failure(ErrorCode::kInternal, "calling the core: something failed inside it; nothing of this call was kept");
  }
}

}  // namespace

Bytes dispatch(Replica& replica, ByteView call, CallScope scope) noexcept { return dispatch_safely(replica, call, scope, nullptr); }

Bytes dispatch_at_hub(Replica& replica, ByteView call, const AtHub& asked) noexcept { return dispatch_safely(replica, call, CallScope::kAll, &asked); }

}  // namespace wrackline
