// wrack settle, fold, accept: people's word on what they had to look at (review.cc shows it).
#include <algorithm>

#include "base/built_in_fields.h"
#include "cli/command.h"
#include "cli/record_fields.h"
#include "model/kinds.h"
#include "text/message_schema.h"

namespace wrackline::cli {
namespace {

struct SettleArgs {
  std::string record, field, value, reason;
};
struct FoldArgs {
  std::string record, into, reason;
  bool undo = false;
  bool settle = false;
};
struct AcceptArgs {
  std::string record, rule, reason;
  bool settle = false;
};

std::string normalised(std::string text) {
  for (char& c : text) {
    if (c >= 'A' && c <= 'Z') c = static_cast<char>(c + 32);
    if (c == '-' || c == ' ') c = '_';
  }
  return text;
}

ReviewReply queue(Client& client) {
  Call call;
  call.mutable_review();
  return client.call(call).review();
}

Exit settle(Client& client, const SettleArgs& args) {
  Names names(client);
  Call call = client.authored();
  const RecordRef record = names.record(args.record);
  const RecordView view = client.get(record);
  if (normalised(args.field) == "standing") {
    const std::string value = normalised(args.value);
    if (value != "struck" && value != "in_account")
      throw usage("standing is settled as struck or in_account");
    StrikeCall& strike = *call.mutable_strike();
    *strike.mutable_record() = record;
    strike.set_reason(args.reason);
    strike.set_lift(value == "in_account");
    strike.set_settle(true);
    return tell_edited(client, names, record, client.write_edit(call), "settled");
  }
  const KindInfo* kind = find_kind_info(view.kind());
  const MessagePtr whole = parse_fields(view.kind(), view.fields());
  if (!kind || !whole)
    throw refused("record " + names.short_id(record) +
                  " is of a kind this release cannot edit; use the newer one");
  EditCall& edit = *call.mutable_edit();
  const MessagePtr fresh = blank(*kind);
  if (args.value.empty() || args.value == "absent") {
    for (const FieldDescriptor* f : fields_called(*kind->descriptor, args.field))
      if (std::find(view.disagreements().begin(), view.disagreements().end(),
                    static_cast<std::uint32_t>(f->number())) != view.disagreements().end())
        edit.add_clears(static_cast<std::uint32_t>(f->number()));
    if (edit.clears_size() == 0)
      throw not_found("\"" + args.field + "\" of " + names.short_id(record) + " is not in disagreement");
  } else {
    const FieldDescriptor& f = set_field(*fresh, args.field, args.value, client, names, whole.get());
    if (std::find(view.disagreements().begin(), view.disagreements().end(),
                  static_cast<std::uint32_t>(f.number())) == view.disagreements().end())
      throw not_found("\"" + field_label(f) + "\" of " + names.short_id(record) +
                      " is not in disagreement; to change it use `wrack correct`");
  }
  *edit.mutable_record() = record;
  edit.set_fields(fresh->SerializeAsString());
  edit.set_reason(args.reason);
  edit.set_settle(true);
  *edit.mutable_seen() = view.heads();
  return tell_edited(client, names, record, client.write_edit(call), "settled");
}

Exit fold(Client& client, const FoldArgs& args) {
  Names names(client);
  Call call = client.authored();
  FoldCall& fold = *call.mutable_fold();
  const RecordRef record = names.record(args.record);
  *fold.mutable_record() = record;
  if (args.undo == !args.into.empty()) throw usage("say either --into A, or --undo");
  if (!args.undo) *fold.mutable_into() = names.record(args.into);
  fold.set_unfold(args.undo);
  fold.set_settle(args.settle);
  fold.set_reason(args.reason);
  const RecordRef change = client.write_edit(call);
  return tell_edited(client, names, record, change, args.undo ? "unfolded" : "folded");
}

Exit accept(Client& client, const AcceptArgs& args) {
  Names names(client);
  Call call = client.authored();
  const RecordRef record = names.record(args.record);
  const ReviewReply reply = queue(client);
  const ReviewItem* found = nullptr;
  std::string list;
  for (const ReviewItem& item : reply.items()) {
    const bool concerns = std::any_of(item.records().begin(), item.records().end(),
                                      [&](const RecordRef& r) { return same(r, record); });
    if (!concerns) continue;
    list += (list.empty() ? "" : ", ") + item.rule_name();
    if (normalised(item.rule_name()) == normalised(args.rule) || std::to_string(item.rule()) == args.rule)
      found = &item;
  }
  // A double entry that two people accepted is in the queue as a disagreement alone.
  const BuiltIn known = built_in_of(client.get(record).fields());
  std::optional<ReviewRule> rule;
  if (found) rule = static_cast<ReviewRule>(found->rule());
  for (const std::uint32_t accepted : known.accepted_rules)
    if (args.settle && !found && normalised(args.rule) == rule_name(static_cast<ReviewRule>(accepted)))
      rule = static_cast<ReviewRule>(accepted);
  if (!rule)
    throw not_found("nothing called \"" + args.rule + "\" is to be reviewed about " + names.short_id(record) +
                    (list.empty() ? "; see `wrack review`" : "; there is " + list));
  AcceptCall& accepted = *call.mutable_accept();
  *accepted.mutable_record() = record;
  // The word is about the pair, and stands with the one that was due first.
  if (found && rule == ReviewRule::kDoseOutOfOrder) *accepted.mutable_record() = found->records(0);
  if (found && rule == ReviewRule::kDoubleEntry)
    for (const RecordRef& other : found->records())
      if (!same(other, record)) *accepted.add_beside() = other;
  if (!found)
    for (const ChangeId other : known.accepted_beside) *accepted.add_beside() = ref_of(other);
  accepted.set_settle(args.settle);
  accepted.set_rule(static_cast<std::uint32_t>(*rule));
  accepted.set_reason(args.reason);
  const bool has_others = accepted.beside_size() > 0;
  return tell_edited(client, names, record, client.write_edit(call),
                     has_others ? "accepted, each as an event of its own:" : "accepted");
}

}  // namespace

void add_deciding_commands(CLI::App& app, Action& chosen) {
  auto settle_args = std::make_shared<SettleArgs>();
  CLI::App* s =
      app.add_subcommand("settle", "Settle a disagreement; the values not chosen stay in the trail");
  s->group("Records officer");
  s->add_option("record", settle_args->record, "Its id")->required();
  s->add_option("field", settle_args->field, "The field, as `wrack review` names it")->required();
  s->add_option("value", settle_args->value, "The value that is right (\"absent\" for none)")->required();
  s->add_option("--reason", settle_args->reason, "Why")->required();
  runs(s, chosen, settle_args, settle);

  auto fold_args = std::make_shared<FoldArgs>();
  CLI::App* f =
      app.add_subcommand("fold", "Say that one record tells of the same event as another; can be undone");
  f->group("Records officer");
  f->add_option("record", fold_args->record, "The one that goes out of account")->required();
  f->add_option("--into", fold_args->into, "The one that stays");
  f->add_flag("--undo", fold_args->undo, "Take the fold back");
  f->add_flag("--settle", fold_args->settle, "Settle what people disagreed on about this fold");
  f->add_option("--reason", fold_args->reason, "Why")->required();
  runs(f, chosen, fold_args, fold);

  auto accept_args = std::make_shared<AcceptArgs>();
  CLI::App* a = app.add_subcommand(
      "accept", "Say that what a rule flagged is as it should be; of a double entry, that all its records are real events");
  a->group("Records officer");
  a->add_option("record", accept_args->record, "Its id")->required();
  a->add_option("rule", accept_args->rule, "The rule, as `wrack review` names it")->required();
  a->add_flag("--settle", accept_args->settle, "Settle what people disagreed on about this acceptance");
  a->add_option("--reason", accept_args->reason, "Why")->required();
  runs(a, chosen, accept_args, accept);
}

}  // namespace wrackline::cli
