// wrack review, settle, fold, accept: what people must look at, and their word on it.
#include <algorithm>

#include "base/built_in_fields.h"
#include "cautions.h"
#include "command.h"
#include "fields.h"
#include "model/kinds.h"
#include "schema.h"
#include "summary.h"
#include "table.h"

namespace wrackline::cli {
namespace {

struct ReviewArgs {
  bool check = false;
};
struct SettleArgs {
  std::string record, field, value, reason;
};
struct FoldArgs {
  std::string record, into, reason;
  bool undo = false;
};
struct AcceptArgs {
  std::string record, rule, reason;
};

// One of the values of a field in disagreement; for a record struck while it was edited, the strike and the
// edits, whose text then names their field.
struct Side {
  TrailEntry entry;
  std::string text;
};

std::vector<Side> sides_of(Client& client, Names& names, const RecordRef& record, std::uint32_t field) {
  Call call;
  *call.mutable_trail()->mutable_record() = record;
  const TrailReply reply = client.call(call).trail();
  const RecordView view = client.get(record);
  const MessagePtr whole = parse_fields(view.kind(), view.fields());
  std::vector<Side> out;
  for (const TrailEntry& e : reply.entries()) {
    const bool edit_against_strike = field == kStandingField && e.against_strike();
    if (!edit_against_strike && (e.field() != field || !e.head())) continue;
    const MessagePtr m = parse_fields(reply.kind(), e.value());
    const FieldDescriptor* f =
        m ? m->GetDescriptor()->FindFieldByNumber(static_cast<int>(e.field())) : nullptr;
    std::string text = f ? field_text(*m, *f, client, names, whole.get()) : to_hex(e.value());
    if (edit_against_strike) text = field_label(reply.kind(), e.field()) + " " + (text.empty() ? "absent" : text);
    if (e.field() == kStandingField && text.empty()) text = "in account";
    out.push_back({e, text.empty() ? "absent" : text});
  }
  return out;
}

const char* level_word(proto::ReviewLevel level) {
  switch (level) {
    case REVIEW_LEVEL_URGENT:
      return "URGENT";
    case REVIEW_LEVEL_CHECK:
      return "check";
    case REVIEW_LEVEL_NOTE:
      return "note";
    default:
      return "review";
  }
}

std::string words(std::string text) {
  std::replace(text.begin(), text.end(), '_', ' ');
  return text;
}

std::string normalised(std::string text) {
  for (char& c : text) {
    if (c >= 'A' && c <= 'Z') c = static_cast<char>(c + 32);
    if (c == '-' || c == ' ') c = '_';
  }
  return text;
}

// "08:35, ": what tells two entries of one event apart at a glance.
std::string happened_text(const RecordView& view, Client& client) {
  const MessagePtr m = parse_fields(view.kind(), view.fields());
  const FieldDescriptor* f = m ? m->GetDescriptor()->FindFieldByName("happened_ms") : nullptr;
  if (!f || !is_present(*m, *f)) return {};
  return "at " + client.zone().print_clock(m->GetReflection()->GetUInt64(*m, f)) + ": ";
}

void item_json(Json& json, const ReviewItem& item, Client& client, Names& names) {
  json.object().member("rule", item.rule_name()).member("rule_number", item.rule());
  json.member("level", normalised(level_word(item.level()))).member("kind", kind_name(item.kind()));
  json.key("records").array();
  for (const RecordRef& r : item.records()) json.text(Names::full_id(r));
  json.end();
  if (item.field() && item.records_size() > 0) {
    json.member("field", field_name(item.kind(), item.field())).key("values").array();
    for (const Side& side : sides_of(client, names, item.records(0), item.field()))
      json.object()
          .member("value", side.text)
          .member("author_name", side.entry.author_name())
          .member("device", side.entry.device_name())
          .member("entered", client.zone().print_exact(side.entry.entered_ms()))
          .member("clock_suspect", side.entry.clock_suspect())
          .member("reason", side.entry.reason())
          .end();
    json.end();
  }
  json.end();
}

std::string item_text(int number, const ReviewItem& item, Client& client, Names& names) {
  if (item.records_size() == 0) return {};
  const RecordRef first = item.records(0);
  std::string out = std::to_string(number) + ". " + level_word(item.level()) + ": " + words(item.rule_name());
  const std::string id = names.short_id(first);
  if (item.field()) {
    const std::string field = normalised(field_label(item.kind(), item.field()));
    out += " about \"" + words(field) + "\" of " + names.call_it(first) + "   " + id + "\n";
    Table table({"VALUE", "BY", "DEVICE", "ENTERED", "WHY"});
    std::string example;
    for (const Side& side : sides_of(client, names, first, item.field())) {
      if (example.empty()) example = side.text;
      table.row({side.text, side.entry.author_name(), side.entry.device_name(),
                 client.zone().print(side.entry.entered_ms()) +
                     (side.entry.clock_suspect() ? " (clock suspect)" : ""),
                 side.entry.reason()});
    }
    out += table.str(4);
    const std::string command = "wrack settle " + id + " " + field + " ";
    if (item.field() == kStandingField)
      return out + "    it stays struck: " + command + "struck --reason \"...\"\n    it counts: " + command +
             "in_account --reason \"...\"\n";
    return out + "    settle it: " + command + "\"" + example + "\" --reason \"...\"\n";
  }

  if (item.rule() == static_cast<std::uint32_t>(ReviewRule::kHeld))
    return out + "\n    look at it: wrack held " + id + "\n";
  out += ", " + names.call_it(first) + "\n";
  Table table({"RECORD", "BY", "DEVICE", "ENTERED", "WHAT"});
  for (const RecordRef& r : item.records()) {
    const RecordView view = client.get(r);
    table.row({names.short_id(r), names.name_of(view.author()), device_of(r, client),
               client.zone().print(view.entered_ms()),
               happened_text(view, client) + event_text(view, client, names)});
  }
  out += table.str(4);
  if (item.level() == REVIEW_LEVEL_URGENT && kind_name(item.kind()) == "administration")
    out += wrapped_lines("Possibly given twice: tell the vet before the next dose.", 4);
  if (item.records_size() > 1)
    out += "    one event: wrack fold " + names.short_id(item.records(item.records_size() - 1)) + " --into " +
           id + " --reason \"...\"\n    two events: wrack accept " + id + " " + item.rule_name() +
           " --reason \"...\"\n";
  else
    out += "    as it should be: wrack accept " + id + " " + item.rule_name() + " --reason \"...\"\n";
  return out;
}

ReviewReply queue(Client& client) {
  Call call;
  call.mutable_review();
  return client.call(call).review();
}

Exit review(Client& client, const ReviewArgs& args) {
  Names names(client);
  ReviewReply reply = queue(client);
  // Urgent first; the core's order within a level.
  std::stable_sort(reply.mutable_items()->begin(), reply.mutable_items()->end(),
                   [](const ReviewItem& a, const ReviewItem& b) { return a.level() > b.level(); });
  if (client.json()) {
    Json json;
    json.object().key("items").array();
    for (const ReviewItem& item : reply.items()) item_json(json, item, client, names);
    print(json.end().end());
  } else if (reply.items_size() == 0) {
    print("nothing to review\n");
  } else {
    std::string out;
    for (int i = 0; i < reply.items_size(); ++i)
      out += (i ? "\n" : "") + item_text(i + 1, reply.items(i), client, names);
    print(out);
  }
  return args.check && reply.items_size() > 0 ? Exit::kReview : Exit::kOk;
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
  if (!found)
    throw not_found("nothing called \"" + args.rule + "\" is to be reviewed about " + names.short_id(record) +
                    (list.empty() ? "; see `wrack review`" : "; there is " + list));
  *call.mutable_accept()->mutable_record() = record;
  call.mutable_accept()->set_rule(found->rule());
  call.mutable_accept()->set_reason(args.reason);
  return tell_edited(client, names, record, client.write_edit(call), "accepted");
}

}  // namespace

void add_review_commands(CLI::App& app, Action& chosen) {
  auto review_args = std::make_shared<ReviewArgs>();
  CLI::App* r =
      app.add_subcommand("review", "What must be looked at: disagreements, double entries, doubtful doses");
  r->group("Records officer");
  r->add_flag("--check", review_args->check, "End with exit code 7 when there is anything");
  runs(r, chosen, review_args, review);

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
  f->add_option("--reason", fold_args->reason, "Why")->required();
  runs(f, chosen, fold_args, fold);

  auto accept_args = std::make_shared<AcceptArgs>();
  CLI::App* a = app.add_subcommand("accept", "Say that what a rule flagged is as it should be");
  a->group("Records officer");
  a->add_option("record", accept_args->record, "Its id")->required();
  a->add_option("rule", accept_args->rule, "The rule, as `wrack review` names it")->required();
  a->add_option("--reason", accept_args->reason, "Why")->required();
  runs(a, chosen, accept_args, accept);
}

}  // namespace wrackline::cli
