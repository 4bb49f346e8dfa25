#include "call/handlers.h"
#include "replica/author.h"
#include "sync/bundle.h"
#include "sync/exchange.h"
#include "sync/hub_session.h"

namespace wrackline {

Status handle_authorize(Replica& replica, const proto::AuthorizeCall& call, proto::AuthorizeReply& out) {
  Hash body;
  if (!copy_exactly(call.body_sha256(), body)) {
    return fail(ErrorCode::kInvalid, "signing a request to the hub: the SHA-256 of its body has 32 bytes; nothing was signed; hash the body as it is sent");
  }
  WRACKLINE_TRY_VALUE(header, replica.authorize(call.token(), {call.method(), call.path(), call.range()}, body));
  out.set_header(header);
  return {};
}

Status handle_exchange(Replica& replica, const proto::ExchangeCall& call, proto::ExchangeStep& out) {
  WRACKLINE_TRY_VALUE(request, replica.exchange(call.reply()));
  out.set_done(request.empty());
  out.set_request(request);
  const Exchange& exchange = *replica.last_exchange();
  out.set_sent(exchange.sent());
  out.set_received(exchange.received());
  out.set_hub_now_ms(exchange.hub_now_ms());
  if (exchange.unknown_hub_key()) out.set_unknown_hub_key(Bytes(view(*exchange.unknown_hub_key())));
  for (const RefusedLog& refused : exchange.refused()) {
    proto::Refusal& refusal = *out.add_refusals();
    refusal.set_log(refused.log.value);
    refusal.set_seq(refused.seq);
    refusal.set_code(static_cast<std::uint32_t>(refused.error.code));
    refusal.set_message(refused.error.message);
  }
  return {};
}

Status handle_bundle_export(Replica& replica, const proto::BundleExportCall& call, proto::BundleExportReply& out) {
  VersionVector have;
  for (const proto::VectorEntry& entry : call.have().entries()) {
    have[LogId{entry.log()}] = {entry.seq(), entry.head()};
  }
  WRACKLINE_TRY_VALUE(bundle, replica.export_bundle(have));
  out.set_changes(bundle.changes);
  out.set_bundle(bundle.bytes);
  return {};
}

Status handle_bundle_import(Replica& replica, const proto::BundleImportCall& call, proto::BundleImportReply& out) {
  WRACKLINE_TRY_VALUE(taken, replica.import_bundle(call.bundle(), call.dry_run()));
  out.set_changes_in_file(taken.in_file);
  out.set_changes_new(taken.new_here);
  for (const RefusedLog& refused : taken.refused) {
    proto::Refusal& refusal = *out.add_refusals();
    refusal.set_log(refused.log.value);
    refusal.set_seq(refused.seq);
    refusal.set_code(static_cast<std::uint32_t>(refused.error.code));
    refusal.set_message(refused.error.message);
  }
  for (const auto& [log, point] : taken.writer) {
    proto::VectorEntry& entry = *out.mutable_vector()->add_entries();
    entry.set_log(log.value);
    entry.set_seq(point.seq);
    entry.set_head(point.head);
  }
  return {};
}

}  // namespace wrackline
