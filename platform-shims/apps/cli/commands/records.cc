// wrack add, list, show, correct, strike: records of any kind, by descriptor.
#include <algorithm>

#include "cli/cautions.h"
#include "cli/command.h"
#include "cli/record_fields.h"
#include "cli/summary.h"
#include "model/countersigning.h"
#include "records.pb.h"
#include "text/message_schema.h"
#include "text/quantity.h"
#include "text/table.h"

namespace wrackline::cli {
namespace {

using google::protobuf::Message;

struct AddArgs {
  std::string kind, at, reason;
  std::vector<std::string> fields;
};
struct ListArgs {
  std::string kind, of, from, to;
  bool struck = false;
};
struct ShowArgs {
  std::string record;
};
struct CorrectArgs {
  std::string record, reason;
  std::vector<std::string> fields;
};
struct StrikeArgs {
  std::string record, reason;
  bool lift = false;
};

void put_by_name(Message& m, const char* name, std::int64_t v) {
  const FieldDescriptor* f = m.GetDescriptor()->FindFieldByName(name);
  if (!f || is_present(m, *f)) return;
  const auto& r = *m.GetReflection();
  if (f->cpp_type() == FieldDescriptor::CPPTYPE_UINT64) r.SetUInt64(&m, f, static_cast<std::uint64_t>(v));
  if (f->cpp_type() == FieldDescriptor::CPPTYPE_INT32) r.SetInt32(&m, f, static_cast<std::int32_t>(v));
}

Exit add(Client& client, const AddArgs& args) {
  Names names(client);
  const KindInfo& kind = kind_typed(args.kind);
  if (kind.name == "device" || kind.name == "facility")
    throw usage("a " + kind.name + " is not added by hand; the hub writes it (see `wrack enrol`)");
  Call call = client.authored();
  const MessagePtr message = blank(kind);
  std::vector<Assignment> assignments;
  for (const std::string& text : args.fields) assignments.push_back(split_assignment(text));
  set_fields(*message, assignments, client, names);
  // Events carry their time, whatever else they carry.
  if (kind.descriptor->FindFieldByName("happened_ms")) {
    const When when = client.event_time(args.at);
    put_by_name(*message, "happened_ms", static_cast<std::int64_t>(when.happened_ms));
    put_by_name(*message, "utc_offset_min", when.utc_offset_min);
    put_by_name(*message, "day", when.day);
  } else if (!args.at.empty()) {
    throw usage("a " + kind.name + " does not happen at a time; leave out --at");
  }
  NewRecord& record = *call.mutable_log()->add_records();
  record.set_kind(kind.number);
  record.set_fields(message->SerializeAsString());
  record.set_reason(args.reason);
  const Reply reply = client.call(call);
  return tell_logged(client, names, call.log(), reply.log());
}

Exit list(Client& client, const ListArgs& args) {
  Names names(client);
  const KindInfo& kind = kind_typed(args.kind);
  std::optional<RecordRef> subject;
  if (!args.of.empty())
    subject = Names::looks_like_id(args.of) ? names.record(args.of) : names.find(subject_kind(kind), args.of);
  Client::Range days;
  if (!args.from.empty()) days.first = typed(client.zone().parse_day_of(args.from, client.now()));
  if (!args.to.empty()) days.last = typed(client.zone().parse_day_of(args.to, client.now()));
  const auto views = client.list(kind.number, subject, days, args.struck);
  if (client.json()) {
    Json json;
    json.object().member("kind", kind.name).key("records").array();
    for (const RecordView& view : views) record_json(json, view, names, client);
    print(json.end().end());
    return Exit::kOk;
  }
  if (views.empty()) {
    print("no " + kind.name + " is recorded here\n");
    return Exit::kOk;
  }
  print(records_table(views, client, names));
  if (kind.name == "diet_plan") print("\n" + wrapped_lines(kFoodCaution));
  if (kind.name == "treatment_order") print("\n" + wrapped_lines(kDoseCaution));
  return Exit::kOk;
}

// Parts of this kind belong to the record and are read together with it.
const char* parts_kind(const std::string& kind) {
  if (kind == "meal") return "portion";
  if (kind == "treatment_order") return "administration";
  return nullptr;
}

// The lines of a plan, one a row.
std::string nested_table(const Message& message, const FieldDescriptor& field, Client& client, Names& names) {
  const Descriptor& d = *field.message_type();
  std::vector<std::string> titles;
  for (int i = 0; i < d.field_count(); ++i) {
    titles.push_back(field_label(*d.field(i)));
    for (char& c : titles.back())
      if (c >= 'a' && c <= 'z') c = static_cast<char>(c - 32);
  }
  Table table(titles);
  for (int at = 0; at < message.GetReflection()->FieldSize(message, &field); ++at) {
    const Message& line = message.GetReflection()->GetRepeatedMessage(message, &field, at);
    std::vector<std::string> cells;
    for (int i = 0; i < d.field_count(); ++i) {
      cells.push_back(field_text(line, *d.field(i), client, names));
      if (cells.back().empty() && d.field(i)->name() == "weekdays") cells.back() = "every day";
    }
    table.row(std::move(cells));
  }
  return table.empty() ? "" : "\n" + table.str(2);
}

Exit show(Client& client, const ShowArgs& args) {
  Names names(client);
  const RecordRef record = names.record(args.record);
  const RecordView view = client.get(record);
  const std::string kind = kind_name(view.kind());
  const char* parts = parts_kind(kind);
  const auto belonging =
      parts ? client.list(kind_number(parts), record, {}, true) : std::vector<RecordView>{};
  if (client.json()) {
    Json json;
    json.object().key("record");
    record_json(json, view, names, client);
    if (parts) {
      json.key("parts").array();
      for (const RecordView& part : belonging) record_json(json, part, names, client);
      json.end();
    }
    print(json.end());
    return Exit::kOk;
  }

  std::string out = names.call_it(record) + "   " + names.short_id(record) + "\n";
  if (view.entered_ms())
    out +=
        "entered " + client.zone().print(view.entered_ms()) +
        (is_set(view.author()) ? " by " + names.name_of(view.author()) : " by the hub") + " on " +
        device_of(record, client) +
        (view.edits() ? ", edited " + std::to_string(view.edits()) + (view.edits() == 1 ? " time" : " times")
                      : "") +
        " (`wrack trail " + names.short_id(record) + "`)\n";
  const std::string standing = standing_text(view, names);
  if (view.unconfirmed_size() > 0)
    out += "not confirmed by whom it names: " + names.name_of(ref_of(named_in_word(view.kind(), view.fields()))) + " says so with `wrack confirm`\n";
  if (!standing.empty()) out += standing + (view.disagreements_size() ? ": see `wrack review`" : "") + "\n";
  out += "\n";
  const MessagePtr message = parse_fields(view.kind(), view.fields());
  if (!message) {
    out += record_summary(view, client, names) + "\n";
  } else {
    Table table({"", "", ""});
    std::string nested;
    for (int i = 0; i < message->GetDescriptor()->field_count(); ++i) {
      const FieldDescriptor& field = *message->GetDescriptor()->field(i);
      if (is_built_in(field) && field.name() != "confirmation") continue;
      const bool disputed =
          std::find(view.disagreements().begin(), view.disagreements().end(),
                    static_cast<std::uint32_t>(field.number())) != view.disagreements().end();
      if (field.is_repeated() && field.message_type() && !referred_kind(field)) {
        nested += nested_table(*message, field, client, names);
        if (!disputed) continue;
      }
      const std::string text = field_text(*message, field, client, names);
      if (text.empty() && !disputed) continue;
      table.row({field_label(field), disputed ? "(in disagreement)" : "", text.empty() ? "absent" : text});
    }
    out += table.str(2) + nested;
    if (!message->GetReflection()->GetUnknownFields(*message).empty())
      out += "  and fields of a newer release, kept unread\n";
  }
  if (!belonging.empty()) out += "\n" + records_table(belonging, client, names, {"meal", "order"});
  if (kind == "diet_plan") out += "\n" + wrapped_lines(kFoodCaution);
  if (kind == "treatment_order") out += "\n" + wrapped_lines(kDoseCaution);
  print(out);
  return Exit::kOk;
}

Exit correct(Client& client, const CorrectArgs& args) {
  Names names(client);
  Call call = client.authored();
  const RecordRef record = names.record(args.record);
  const RecordView view = client.get(record);
  const KindInfo* kind = find_kind_info(view.kind());
  const MessagePtr whole = parse_fields(view.kind(), view.fields());
  if (!kind || !whole)
    throw refused("record " + names.short_id(record) + " is " + kind_name(view.kind()) +
                  ", which this release cannot edit; use the newer one that made it");
  EditCall& edit = *call.mutable_edit();
  const MessagePtr fresh = blank(*kind);
  std::vector<Assignment> given;
  for (const std::string& text : args.fields) {
    const Assignment a = split_assignment(text);
    if (!a.value.empty()) {
      given.push_back(a);
      continue;
    }
    // "left=" makes a field absent; of fields that share a name, those that are there.
    const int before = edit.clears_size();
    for (const FieldDescriptor* f : fields_called(*kind->descriptor, a.name))
      if (!is_built_in(*f) && is_present(*whole, *f)) edit.add_clears(static_cast<std::uint32_t>(f->number()));
    if (edit.clears_size() == before)
      throw usage("there is no \"" + a.name + "\" in record " + names.short_id(record) + " to make absent");
  }
  set_fields(*fresh, given, client, names, whole.get());
  *edit.mutable_record() = record;
  edit.set_fields(fresh->SerializeAsString());
  edit.set_reason(args.reason);
  *edit.mutable_seen() = view.heads();
  const RecordRef change = client.write_edit(call);
  return tell_edited(client, names, record, change, "corrected");
}

Exit strike(Client& client, const StrikeArgs& args) {
  Names names(client);
  Call call = client.authored();
  const RecordRef record = names.record(args.record);
  StrikeCall& strike = *call.mutable_strike();
  *strike.mutable_record() = record;
  strike.set_reason(args.reason);
  strike.set_lift(args.lift);
  const RecordRef change = client.write_edit(call);
  return tell_edited(client, names, record, change, args.lift ? "back in account:" : "struck");
}

}  // namespace

void add_record_commands(CLI::App& app, Action& chosen) {
  auto add_args = std::make_shared<AddArgs>();
  CLI::App* a =
      app.add_subcommand("add", "Add a record of any kind: person, area, pool, animal, food, diet_plan, ...");
  a->group("Keeper");
  a->add_option("kind", add_args->kind, "person, area, pool, animal, food, diet_plan, treatment_order, ...")
      ->required();
  a->add_option("fields", add_args->fields,
                "field=value ...; the unit goes with the number (mass=1.2kg). Other records go by name or "
                "id. A plan's "
                "lines: line=\"food=herring slot=08:30 mass=1.2kg weekdays=mon,thu\"")
      ->required();
  a->add_option("--at", add_args->at, "When an event was, if not now");
  a->add_option("--reason", add_args->reason, "Why");
  runs(a, chosen, add_args, add);

  auto list_args = std::make_shared<ListArgs>();
  CLI::App* l = app.add_subcommand("list", "List records of a kind");
  l->group("Keeper");
  l->add_option("kind", list_args->kind, "person, area, pool, animal, food, diet_plan, meal, portion, ...")
      ->required();
  l->add_option("--of", list_args->of, "Only of this animal, pool, meal, order, lot: what the kind belongs to");
  l->add_option("--from", list_args->from, "From this day on: 2026-11-24, today or yesterday");
  l->add_option("--to", list_args->to, "Up to and with this day");
  l->add_flag("--struck", list_args->struck, "Struck and folded records as well");
  runs(l, chosen, list_args, list);

  auto show_args = std::make_shared<ShowArgs>();
  CLI::App* s = app.add_subcommand("show", "Show one record with all its fields");
  s->group("Keeper");
  s->add_option("record", show_args->record, "Its id, such as 3f9a.12")->required();
  runs(s, chosen, show_args, show);

  auto correct_args = std::make_shared<CorrectArgs>();
  CLI::App* c =
      app.add_subcommand("correct", "Give fields of a record new values; the old ones stay in its trail");
  c->group("Keeper");
  c->add_option("record", correct_args->record, "Its id")->required();
  c->add_option("fields", correct_args->fields, "field=value ...; \"field=\" makes it absent")->required();
  c->add_option("--reason", correct_args->reason, "Why")->required();
  runs(c, chosen, correct_args, correct);

  auto strike_args = std::make_shared<StrikeArgs>();
  CLI::App* k =
      app.add_subcommand("strike", "Take a record out of account; it stays in the trail and can come back");
  k->group("Keeper");
  k->add_option("record", strike_args->record, "Its id")->required();
  k->add_option("--reason", strike_args->reason, "Why")->required();
  k->add_flag("--lift", strike_args->lift, "Bring a struck record back into account");
  runs(k, chosen, strike_args, strike);
}

}  // namespace wrackline::cli
