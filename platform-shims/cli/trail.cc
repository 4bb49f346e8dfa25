// wrack trail: every value a record ever had, who gave it, where, when and why.
#include <algorithm>

#include "command.h"
#include "fields.h"
#include "schema.h"
#include "summary.h"
#include "table.h"

namespace wrackline::cli {
namespace {

using google::protobuf::Message;

struct TrailArgs {
  std::string record;
};

std::string value_text(std::uint32_t kind, std::uint32_t number, const std::string& partial,
                       const Message* whole, Client& client, Names& names) {
  if (partial.empty()) return "absent";
  const MessagePtr message = parse_fields(kind, partial);
  const FieldDescriptor* field =
      message ? message->GetDescriptor()->FindFieldByNumber(static_cast<int>(number)) : nullptr;
  if (!field) return std::to_string(partial.size()) + " bytes of a newer release";
  const std::string text = field_text(*message, *field, client, names, whole);
  return text.empty() ? "absent" : text;
}

const char* state_of(const TrailEntry& e) {
  return e.disagrees() ? "disagrees" : e.head() ? "stands" : "replaced";
}

Exit trail(Client& client, const TrailArgs& args) {
  Names names(client);
  Call call;
  const RecordRef record = names.record(args.record);
  *call.mutable_trail()->mutable_record() = record;
  const TrailReply reply = client.call(call).trail();
  const RecordView view = client.get(record);
  const MessagePtr whole = parse_fields(view.kind(), view.fields());
  const auto value = [&](const TrailEntry& e, const std::string& partial) {
    return value_text(reply.kind(), e.field(), partial, whole.get(), client, names);
  };
  const Zone& zone = client.zone();

  if (client.json()) {
    Json json;
    json.object().member("record", Names::full_id(record)).member("kind", kind_name(reply.kind()));
    if (reply.happened_ms()) json.member("happened", zone.print_exact(reply.happened_ms()));
    json.key("entries").array();
    for (const TrailEntry& e : reply.entries()) {
      json.object()
          .member("change", Names::full_id(e.change()))
          .member("field", field_name(reply.kind(), e.field()));
      json.member("value", value(e, e.value())).key("replaced").array();
      for (const std::string& old : e.replaced()) json.text(value(e, old));
      json.end().member("state", state_of(e)).member("author_name", e.author_name());
      if (is_set(e.author())) json.member("author", Names::full_id(e.author()));
      json.member("device", e.device_name()).member("entered", zone.print_exact(e.entered_ms()));
      json.key("held_by_hub");
      e.held_ms() ? json.text(zone.print_exact(e.held_ms())) : json.null();
      json.member("reason", e.reason())
          .member("clock_suspect", e.clock_suspect())
          .member("birth", e.birth())
          .end();
    }
    print(json.end().end());
    return Exit::kOk;
  }

  std::string out = "Trail of " + names.call_it(record) + "   " + Names::full_id(record) + "\n";
  if (reply.happened_ms()) out += "happened " + zone.print(reply.happened_ms()) + " (as recorded now)\n";
  // Entries of one change stand together: they were made in one go, by one person, for one reason.
  for (int at = 0; at < reply.entries_size();) {
    const TrailEntry& first = reply.entries(at);
    out += "\n" + names.short_id(first.change()) + "  " + (first.birth() ? "born " : "edited ") +
           zone.print(first.entered_ms()) + " by " +
           (first.author_name().empty() ? "the hub" : first.author_name()) + " on " +
           (first.device_name().empty() ? device_of(first.change(), client) : first.device_name()) + "; " +
           (first.held_ms() ? "held by the hub " + zone.print(first.held_ms())
                            : "no receipt of the hub known here") +
           "\n";
    if (first.clock_suspect())
      out += "    CLOCK SUSPECT: that device's clock was more than 10 minutes ahead when it was entered\n";
    Table table({"", "", "", ""});
    while (at < reply.entries_size() && same(reply.entries(at).change(), first.change())) {
      const TrailEntry& e = reply.entries(at++);
      std::string old;
      for (const std::string& r : e.replaced()) old += (old.empty() ? "" : " and ") + value(e, r);
      table.row({field_label(reply.kind(), e.field()), state_of(e), "",
                 (old.empty() ? "" : old + " -> ") + value(e, e.value())});
    }
    out += table.str(4);
    if (!first.reason().empty())
      for (const std::string& line : wrap("why: " + first.reason(), kTableWidth - 4))
        out += "    " + line + "\n";
  }
  if (reply.entries_size() == 0) out += "nothing is known of it\n";
  print(out);
  return Exit::kOk;
}

}  // namespace

void add_trail_command(CLI::App& app, Action& chosen) {
  auto args = std::make_shared<TrailArgs>();
  CLI::App* c =
      app.add_subcommand("trail", "Every value a record ever had: who, on what device, when and why");
  c->group("Admin");
  c->add_option("record", args->record, "Its id")->required();
  runs(c, chosen, args, trail);
}

}  // namespace wrackline::cli
