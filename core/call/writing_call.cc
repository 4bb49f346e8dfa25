#include <records.pb.h>

#include <algorithm>

#include "base/wire.h"
#include "call/questions.h"
#include "model/kinds.h"
#include "model/sign_in_rules.h"
#include "reading/record_view.h"
#include "replica/author.h"
#include "store/store.h"

namespace wrackline {
namespace {

template <typename Out>
void put_problems(const RecordProblems& broken, Out& out) {
  for (const RecordProblem& each : broken) {
    proto::Problem& problem = *out.add_problems();
    problem.set_record(static_cast<std::uint32_t>(each.record));
    problem.set_kind(each.kind);
    problem.set_field(each.problem.field);
    problem.set_code(std::string(name_of(each.problem.code)));
    for (const std::string& parameter : each.problem.parameters) problem.add_parameters(parameter);
    problem.set_sentence(sentence_of(each.problem));
  }
}

Status put_edit(Replica& replica, RecordId by, Edit& edit, const Asking& asking, proto::EditReply& out) {
  WRACKLINE_TRY(ask_about_edit(replica, edit, asking));
  RecordProblems broken;
  const auto change = replica.author().edit_in(by, edit, &broken);
  put_problems(broken, asking.refusal);
  if (!change) return fail(change.error());
  put_id(*change, *out.mutable_change());
  return {};
}

// Proofs stand on PINs: somebody who asked for proofs without having one could prove nothing, and so not take it back.
Status check_proof_rule(Replica& replica, RecordId by, const Edit& edit) {
  WRACKLINE_TRY_VALUE(facility, replica.store().records().load(replica.store().logs().find_place(edit.record)));
  if (!facility || facility->kind != static_cast<std::uint32_t>(Kind::kFacility) || !sign_in_policy(edit.fields).proof_required) return {};
  WRACKLINE_TRY_VALUE(author, replica.store().records().load(replica.store().logs().find_place(by)));
  if (!author || sign_in_person(author->fields).pin_set_ms != 0) return {};
  return fail(ErrorCode::kInvalid, "asking for proofs: they stand on PINs, and " + sign_in_person(author->fields).name +
                                       " has none yet; nothing was changed; choose one first, with a one-time code that an admin gives");
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
  RecordProblems broken;
  if (call.check_only()) {
    WRACKLINE_TRY(replica.author().judge(by, records, broken));
    put_problems(broken, out);
    const Status asked = ask_about_new(replica, records, asking);
    if (!asked && asked.error().code != ErrorCode::kUnconfirmed) return asked;
    out.mutable_questions()->Swap(asking.refusal.mutable_questions());
    return {};
  }
  if (const Status asked = ask_about_new(replica, records, asking); !asked) {
    // Whoever would answer the questions should not be refused afterwards: broken rules come first.
    if (asked.error().code == ErrorCode::kUnconfirmed) WRACKLINE_TRY(replica.author().judge(by, records, broken));
    if (broken.empty()) return asked;
    asking.refusal.clear_questions();
  }
  const auto ids = replica.author().log_records_in(by, records, &broken);
  put_problems(broken, asking.refusal);
  if (!ids) return fail(ids.error());
  for (RecordId id : *ids) put_id(id, *out.add_records());
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
  WRACKLINE_TRY(check_proof_rule(replica, by, edit));
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
  edit.settle = call.settle();
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
  const char* doing = "accepting a flag";
  if (call.reason().empty()) return needs_reason(doing);
  const auto rule = static_cast<ReviewRule>(call.rule());
  if (rule != ReviewRule::kDoubleEntry && rule != ReviewRule::kHeld && rule != ReviewRule::kDoseOutOfOrder) {
    return fail(ErrorCode::kInvalid, "accepting a flag: this flag is settled, not accepted; nothing was changed");
  }
  if (call.beside_size() > 0 && rule != ReviewRule::kDoubleEntry) {
    return fail(ErrorCode::kInvalid, "accepting a flag: only double entries are accepted beside each other; nothing was changed");
  }
  std::vector<RecordId> group = {id_of(call.record())};
  for (const proto::RecordRef& ref : call.beside()) {
    if (std::find(group.begin(), group.end(), id_of(ref)) == group.end()) group.push_back(id_of(ref));
  }
  std::vector<Edit> edits;
  std::uint32_t kind = 0;
  for (const RecordId id : group) {
    WRACKLINE_TRY_VALUE(record, require_record(replica, id, doing));
    if (kind != 0 && record.kind != kind) {
      return fail(ErrorCode::kInvalid, "accepting a flag: the records are not of one kind, so they are no double entry; nothing was changed");
    }
    kind = record.kind;
    const BuiltIn built_in = built_in_of(record.fields);
    proto::Accepted accepted;
    for (const std::uint32_t known : built_in.accepted_rules) accepted.add_rules(known);
    if (!built_in.has_accepted(rule)) accepted.add_rules(call.rule());
    // The records it was accepted beside before stay so. One that was accepted beside everything is so no longer: its
    // author names now whom they looked at.
    for (const RecordId known : built_in.accepted_beside) put_id(known, *accepted.add_beside());
    for (const RecordId other : group) {
      const auto& known = built_in.accepted_beside;
      if (other != id && std::find(known.begin(), known.end(), other) == known.end()) put_id(other, *accepted.add_beside());
    }
    Edit& edit = edits.emplace_back();
    edit.record = id;
    edit.reason = call.reason();
    edit.settle = call.settle();
    append_bytes_field(edit.fields, kAcceptedField, accepted.SerializeAsString());
    // Each is an event of its own, so none of them is folded. Said aloud, this disagrees with a fold that somebody else
    // makes meanwhile, where an acceptance alone would go beside it unnoticed.
    if (group.size() > 1) edit.clears.push_back(kSameAsField);
  }
  for (Edit& edit : edits) WRACKLINE_TRY(ask_about_edit(replica, edit, asking));
  for (const Edit& edit : edits) {
    WRACKLINE_TRY_VALUE(change, replica.author().edit_in(by, edit));
    put_id(change, out.has_change() ? *out.add_others() : *out.mutable_change());
  }
  return {};
}

}  // namespace wrackline
