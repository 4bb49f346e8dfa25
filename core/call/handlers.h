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

Status handle_status(Replica& replica, const Bytes& session, proto::StatusReply& out);
Status handle_get(Replica& replica, const proto::GetCall& call, proto::GetReply& out);
Status handle_list(Replica& replica, const proto::ListCall& call, proto::ListReply& out);

// A writing call was confirmed with this; the questions that are still open (call/questions.h) and the rules that are broken go into
// the refusal.
struct Asking {
  const proto::Confirmation& confirmed;
  proto::Failure& refusal;
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

}  // namespace wrackline
