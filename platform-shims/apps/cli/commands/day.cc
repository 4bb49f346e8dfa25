// wrack day: everything that was recorded of one husbandry day, in the order it happened.
#include <algorithm>

#include "cli/command.h"
#include "cli/record_fields.h"
#include "cli/summary.h"
#include "records.pb.h"
#include "text/message_schema.h"
#include "text/table.h"

namespace wrackline::cli {
namespace {

struct DayArgs {
  std::string day = "today", animal;
};

struct Event {
  WallMs happened_ms = 0;
  RecordRef animal;
  RecordView view;
};

// The animal an event is of; a dose's by way of its order. Unset when the event names none.
RecordRef animal_of(const RecordView& view, Client& client) {
  const MessagePtr m = parse_fields(view.kind(), view.fields());
  if (!m) return {};
  const auto ref_in = [](const google::protobuf::Message& message, const char* name) {
    RecordRef ref;
    const FieldDescriptor* f = message.GetDescriptor()->FindFieldByName(name);
    if (f && is_present(message, *f))
      ref.ParseFromString(message.GetReflection()->GetMessage(message, f).SerializeAsString());
    return ref;
  };
  const RecordRef order = ref_in(*m, "order");
  if (!is_set(order)) return ref_in(*m, "animal");
  try {
    return animal_of(client.get(order), client);
  } catch (const Stop&) {
    return {};  // The order has not arrived yet; the dose is shown all the same.
  }
}

std::vector<Event> events_of(Client& client, Day day) {
  std::vector<Event> out;
  for (const KindInfo& kind : kinds()) {
    const FieldDescriptor* happened =
        kind.descriptor ? kind.descriptor->FindFieldByName("happened_ms") : nullptr;
    if (!happened) continue;
    for (RecordView& view : client.list(kind.number, {}, {day, day}, true)) {
      const MessagePtr m = parse_fields(view.kind(), view.fields());
      if (!m) continue;
      const WallMs at = m->GetReflection()->GetUInt64(*m, happened);
      out.push_back({at, animal_of(view, client), std::move(view)});
    }
  }
  std::stable_sort(out.begin(), out.end(),
                   [](const Event& a, const Event& b) { return a.happened_ms < b.happened_ms; });
  return out;
}

Exit day(Client& client, const DayArgs& args) {
  Names names(client);
  const Day wanted = typed(client.zone().parse_day_of(args.day, client.now()));
  std::vector<Event> events = events_of(client, wanted);
  if (!args.animal.empty()) {
    const RecordRef animal = names.find("animal", args.animal);
    events.erase(
        std::remove_if(events.begin(), events.end(), [&](const Event& e) { return !same(e.animal, animal); }),
        events.end());
  }
  if (client.json()) {
    Json json;
    json.object().member("day", print_day(wanted)).key("records").array();
    for (const Event& e : events) record_json(json, e.view, names, client);
    print(json.end().end());
    return Exit::kOk;
  }
  if (events.empty()) {
    print("nothing is recorded of " + print_day(wanted) + "; that is not the same as nothing done\n");
    return Exit::kOk;
  }
  Table table({"AT", "ANIMAL", "KIND", "BY", "RECORD", "WHAT"});
  for (const Event& e : events) {
    const std::string kind = kind_name(e.view.kind());
    std::string what = event_text(e.view, client, names);
    Administration dose;
    if (kind == "administration" && dose.ParseFromString(e.view.fields()))
      what = names.name_of(dose.order()) + ": " + what;
    const std::string standing = standing_text(e.view, names);
    if (!standing.empty()) what += " (" + standing + ")";
    table.row({client.zone().print_clock(e.happened_ms), names.name_of(e.animal),
               kind == "administration" ? "dose"
               : kind == "observation"  ? "seen"
                                        : kind,
               author_text(e.view, client, names), names.short_id(e.view.record()), what});
  }
  print(print_day(wanted) + "\n" + table.str());
  return Exit::kOk;
}

}  // namespace

void add_day_command(CLI::App& app, Action& chosen) {
  auto args = std::make_shared<DayArgs>();
  CLI::App* c = app.add_subcommand("day", "Everything recorded of a day, in the order it happened");
  c->group("Keeper");
  c->add_option("day", args->day, "today, yesterday or 2026-11-24")->capture_default_str();
  c->add_option("--of", args->animal, "Only of this animal");
  runs(c, chosen, args, day);
}

}  // namespace wrackline::cli
