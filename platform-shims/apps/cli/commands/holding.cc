// wrack held, take-in, leave-out: what the hub keeps out of account until an officer decides.
#include "cli/command.h"
#include "cli/record_fields.h"
#include "cli/summary.h"
#include "model/kinds.h"
#include "text/message_schema.h"
#include "text/table.h"

namespace wrackline::cli {
namespace {

struct HeldArgs {
  std::string hold;
};
struct DecideArgs {
  std::string hold, reason;
};

Hold hold_of(const RecordView& view) {
  Hold hold;
  hold.ParseFromString(view.fields());
  return hold;
}

bool is_left_out(const Hold& hold) { return hold.has_accepted() && hold.accepted().rules_size() > 0; }

RecordView find_hold(Client& client, Names& names, const std::string& text) {
  RecordView view = client.get(names.record(text));
  if (view.kind() != kind_number("hold"))
    throw usage(text + " is no hold; `wrack held` lists them, nothing was changed");
  return view;
}

std::vector<HeldChange> changes_of(Client& client, const RecordRef& hold) {
  std::vector<HeldChange> out;
  Call call;
  *call.mutable_held()->mutable_hold() = hold;
  for (;;) {
    const Reply reply = client.call(call);
    out.insert(out.end(), reply.held().changes().begin(), reply.held().changes().end());
    if (!reply.held().more()) return out;
    call.mutable_held()->set_after_seq(out.back().change().seq());
  }
}

std::string held_change_text(const HeldChange& change, Client& client, Names& names) {
  if (!change.present()) return "has not arrived here yet";
  RecordView view;
  *view.mutable_record() = change.record();
  view.set_kind(change.kind());
  view.set_fields(change.fields());
  const std::string kind = kind_name(change.kind());
  const std::string summary = record_summary(view, client, names);
  return (change.birth() ? "new " + kind : "change of " + kind + " " + names.short_id(change.record())) +
         (summary.empty() ? "" : ": " + summary) + (change.reason().empty() ? "" : " (" + change.reason() + ")");
}

void hold_json(Json& json, const RecordView& view, Client& client, Names& names) {
  const Hold hold = hold_of(view);
  json.object().member("record", Names::full_id(view.record())).member("note", hold.note());
  json.member("left_out", is_left_out(hold)).key("changes").array();
  for (const HeldChange& change : changes_of(client, view.record())) {
    json.object().member("change", Names::full_id(change.change())).member("present", change.present());
    json.member("kind", kind_name(change.kind())).member("birth", change.birth());
    json.member("author_name", change.author_name()).member("device", change.device_name());
    json.member("entered_ms", change.entered_ms()).member("what", held_change_text(change, client, names)).end();
  }
  json.end().end();
}

std::string hold_text(const RecordView& view, Client& client, Names& names) {
  const Hold hold = hold_of(view);
  const std::string id = names.short_id(view.record());
  std::string out = id + "  held " + client.zone().print(hold.held_ms()) + ": " + hold.note() + "\n";
  Table table({"CHANGE", "BY", "DEVICE", "ENTERED", "WHAT"});
  for (const HeldChange& change : changes_of(client, view.record()))
    table.row({names.short_id(change.change()), change.author_name(), change.device_name(),
               change.present() ? client.zone().print(change.entered_ms()) : "", held_change_text(change, client, names)});
  out += table.str(4);
  if (is_left_out(hold)) return out + "    left out of account for good; the changes stay in the log\n";
  return out + "    take it in:   wrack take-in " + id + " --reason \"...\"\n    leave it out: wrack leave-out " + id +
         " --reason \"...\"\n";
}

Exit held(Client& client, const HeldArgs& args) {
  Names names(client);
  std::vector<RecordView> holds;
  if (!args.hold.empty()) {
    holds.push_back(find_hold(client, names, args.hold));
  } else {
    for (const RecordView& view : client.list(kind_number("hold")))
      if (!view.struck() && !is_left_out(hold_of(view))) holds.push_back(view);
  }
  if (client.json()) {
    Json json;
    json.object().key("held").array();
    for (const RecordView& view : holds) hold_json(json, view, client, names);
    json.end().end();
    print(json);
    return Exit::kOk;
  }
  std::string out;
  for (const RecordView& view : holds) out += (out.empty() ? "" : "\n") + hold_text(view, client, names);
  print(out.empty() ? "nothing is held, as far as this device knows\n" : out);
  return Exit::kOk;
}

Exit take_in(Client& client, const DecideArgs& args) {
  Names names(client);
  const RecordView view = find_hold(client, names, args.hold);
  Call call = client.authored();
  *call.mutable_strike()->mutable_record() = view.record();
  call.mutable_strike()->set_reason(args.reason);
  return tell_edited(client, names, view.record(), client.write_edit(call), "taken in what was held by");
}

Exit leave_out(Client& client, const DecideArgs& args) {
  Names names(client);
  const RecordView view = find_hold(client, names, args.hold);
  Call call = client.authored();
  *call.mutable_accept()->mutable_record() = view.record();
  call.mutable_accept()->set_rule(static_cast<std::uint32_t>(ReviewRule::kHeld));
  call.mutable_accept()->set_reason(args.reason);
  return tell_edited(client, names, view.record(), client.write_edit(call), "left out what is held by");
}

}  // namespace

void add_holding_commands(CLI::App& app, Action& chosen) {
  auto held_args = std::make_shared<HeldArgs>();
  CLI::App* h = app.add_subcommand("held", "What the hub keeps out of account until an officer decides");
  h->group("Records officer");
  h->add_option("hold", held_args->hold, "One of them; otherwise all that are open");
  runs(h, chosen, held_args, held);

  for (const bool in : {true, false}) {
    auto args = std::make_shared<DecideArgs>();
    CLI::App* d = app.add_subcommand(in ? "take-in" : "leave-out", in ? "Take held changes into account"
                                                                     : "Leave held changes out of account for good");
    d->group("Records officer");
    d->add_option("hold", args->hold, "Its id, as `wrack held` shows it")->required();
    d->add_option("--reason", args->reason, "Why")->required();
    if (in) {
      runs(d, chosen, args, take_in);
    } else {
      runs(d, chosen, args, leave_out);
    }
  }
}

}  // namespace wrackline::cli
