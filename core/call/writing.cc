#include <records.pb.h>

#include <algorithm>

#include "call/questions.h"
#include "base/wire.h"
#include "model/kinds.h"
#include "replica/author.h"

namespace wrackline {
namespace {

Status put_edit(Replica& replica, RecordId by, Edit& edit, const Asking& asking, proto::EditReply& out) {
  {
    const Result<Transaction> moment = replica.store().begin_read();
    if (!moment) return fail(moment.error());
    WRACKLINE_TRY(ask_about_edit(replica, edit, asking));
  }
  WRACKLINE_TRY_VALUE(change, replica.author().edit(by, edit));
  put_id(change, *out.mutable_change());
  return {};
}

Unexpected needs_reason(const char* doing) {
  return fail(ErrorCode::kInvalid, std::string(doing) + ": it needs a reason; nothing was changed");
}

}  // namespace

Status handle_log(Replica& replica, RecordId by, proto::LogCall& call, const Asking& asking, proto::LogReply& out) {
  std::vector<NewRecord> records;
  records.reserve(static_cast<std::size_t>(call.records_size()));
  for (proto::NewRecord& message : *call.mutable_records()) {
    NewRecord& record = records.emplace_back();
    record.kind = message.kind();
    record.fields = std::move(*message.mutable_fields());
    record.reason = std::move(*message.mutable_reason());
    for (const proto::Link& link : message.links()) record.links.push_back({link.field(), link.record()});
  }
  {
    const Result<Transaction> moment = replica.store().begin_read();  // SQLite's file locks once, not for each look.
    if (!moment) return fail(moment.error());
    WRACKLINE_TRY(ask_about_new(replica, records, asking));
  }
  WRACKLINE_TRY_VALUE(ids, replica.author().log_records(by, records));
  for (RecordId id : ids) put_id(id, *out.add_records());
  return {};
}

Status handle_edit(Replica& replica, RecordId by, const proto::EditCall& call, const Asking& asking,
                   proto::EditReply& out) {
  Edit edit;
  edit.record = id_of(call.record());
  edit.fields = call.fields();
  edit.clears.assign(call.clears().begin(), call.clears().end());
  edit.reason = call.reason();
  edit.settle = call.settle();
  if (call.seen_size() > 0) {
    edit.seen.emplace();
    for (const proto::Replaced& seen : call.seen()) {
      edit.seen->push_back({{LogId{seen.log()}, seen.seq()}, seen.check(), {seen.fields().begin(), seen.fields().end()}});
    }
  }
  return put_edit(replica, by, edit, asking, out);
}

Status handle_strike(Replica& replica, RecordId by, const proto::StrikeCall& call, const Asking& asking,
                     proto::EditReply& out) {
  if (call.reason().empty()) return needs_reason(call.lift() ? "lifting a strike" : "striking a record");
  Edit edit;
  edit.record = id_of(call.record());
  append_varint_field(edit.fields, kStandingField, call.lift() ? std::uint64_t{proto::STANDING_IN_ACCOUNT} : kStruck);
  edit.reason = call.reason();
  edit.settle = call.settle();
  return put_edit(replica, by, edit, asking, out);
}

Status handle_fold(Replica& replica, RecordId by, const proto::FoldCall& call, const Asking& asking,
                   proto::EditReply& out) {
  if (call.reason().empty()) return needs_reason(call.unfold() ? "unfolding a record" : "folding a record");
  Edit edit;
  edit.record = id_of(call.record());
  edit.reason = call.reason();
  if (call.unfold()) {
    edit.clears.push_back(kSameAsField);
    return put_edit(replica, by, edit, asking, out);
  }
  const RecordId into = id_of(call.into());
  WRACKLINE_TRY_VALUE(record, require_record(replica, edit.record, "folding a record"));
  WRACKLINE_TRY_VALUE(target, require_record(replica, into, "folding a record"));
  if (into == edit.record || target.kind != record.kind) {
    return fail(ErrorCode::kInvalid, "folding a record: it can only be folded into another one of its kind; nothing was changed");
  }
  if (!built_in_of(target.fields).in_account()) {
    return fail(ErrorCode::kInvalid, "folding a record: the other one is struck or folded itself; nothing was changed; fold into the one that stands");
  }
  append_record_ref_field(edit.fields, kSameAsField, into);
  return put_edit(replica, by, edit, asking, out);
}

Status handle_accept(Replica& replica, RecordId by, const proto::AcceptCall& call, const Asking& asking,
                     proto::EditReply& out) {
  if (call.reason().empty()) return needs_reason("accepting a flag");
  if (call.rule() != static_cast<std::uint32_t>(ReviewRule::kDoubleEntry) &&
      call.rule() != static_cast<std::uint32_t>(ReviewRule::kHeld)) {
    return fail(ErrorCode::kInvalid, "accepting a flag: this flag is settled, not accepted; nothing was changed");
  }
  Edit edit;
  edit.record = id_of(call.record());
  edit.reason = call.reason();
  WRACKLINE_TRY_VALUE(record, require_record(replica, edit.record, "accepting a flag"));
  auto rules = built_in_of(record.fields).accepted_rules;
  if (std::find(rules.begin(), rules.end(), call.rule()) == rules.end()) rules.push_back(call.rule());
  proto::Accepted accepted;
  for (std::uint32_t rule : rules) accepted.add_rules(rule);
  append_bytes_field(edit.fields, kAcceptedField, accepted.SerializeAsString());
  return put_edit(replica, by, edit, asking, out);
}

}  // namespace wrackline
