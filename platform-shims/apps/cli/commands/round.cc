// wrack round: what is due on a day, for whom, and how it stands by what is known here.
#include <map>

#include "cli/cautions.h"
#include "cli/command.h"
#include "cli/reports/due_words.h"
#include "schedule/calendar.h"
#include "text/enum_words.h"
#include "text/message_schema.h"
#include "text/quantity.h"
#include "text/table.h"

namespace wrackline::cli {
namespace {

struct RoundArgs {
  std::string day = "today", area, animal, calendar;
  bool open = false, check = false;
};

const char* kind_text(DueKind kind) {
  switch (kind) {
    case DUE_KIND_MEAL:
      return "meal";
    case DUE_KIND_DOSE:
      return "dose";
    case DUE_KIND_ENRICHMENT:
      return "enrichment";
    case DUE_KIND_MEASURE:
      return "measure";
    case DUE_KIND_WATER:
      return "water";
    case DUE_KIND_INSPECTION:
      return "inspection";
    default:
      return "task";
  }
}

std::string what_text(const DueItem& item) {
  std::string out;
  if (item.has_planned_mg()) out = print_quantity(Unit::kMassMg, static_cast<std::int64_t>(item.planned_mg()));
  if (item.quantity() != QUANTITY_UNSPECIFIED) out = enum_text("measure", "quantity", item.quantity());
  if (item.parameter() != PARAMETER_UNSPECIFIED) out = enum_text("water_reading", "parameter", item.parameter());
  if (!item.what().empty()) out += (out.empty() ? "" : " ") + item.what();
  if (item.outcome() != OUTCOME_UNSPECIFIED) out += ": " + enum_text("administration", "outcome", item.outcome());
  return out;
}

std::string state_of(const DueItem& item, const Zone& zone) {
  std::string out = state_text(item.state());
  if (item.state() == DUE_STATE_DONE && item.done_ms()) out += " " + zone.print_clock(item.done_ms());
  return out;
}

void item_json(Json& json, const DueItem& item, const Zone& zone) {
  json.object().member("what", kind_text(item.due_kind())).member("state", lower_words(state_text(item.state())));
  json.member("subject", Names::full_id(item.subject())).member("subject_name", item.subject_name());
  if (!item.pool_name().empty()) json.member("pool", item.pool_name());
  if (!item.area().empty()) json.member("area", item.area());
  json.member("plan", Names::full_id(item.plan())).member("text", what_text(item));
  if (item.has_due_ms()) json.member("due", zone.print_exact(item.due_ms()));
  if (item.has_planned_mg()) json.member("planned_mg", item.planned_mg());
  if (is_set(item.done_by())) json.member("done_by", Names::full_id(item.done_by()));
  if (item.done_ms()) json.member("done", zone.print_exact(item.done_ms()));
  json.end();
}

std::string known_until_text(const RoundReply& reply, const Zone& zone) {
  if (reply.known_as_of_ms() == 0) return "this device has never exchanged with the hub";
  return "known here as of " + zone.print(reply.known_as_of_ms()) + ", " +
         print_age(reply.known_as_of_ms(), reply.now_ms());
}

// Writes everything that has a time of the day for the calendar on the wall, in the format of RFC 5545.
void write_calendar(const RoundReply& reply, const std::string& path, WallMs now) {
  std::vector<CalendarEntry> entries;
  std::map<std::string, int> seen;
  for (const DueItem& item : reply.items()) {
    if (!item.has_due_ms() || item.state() == DUE_STATE_DONE) continue;
    CalendarEntry entry;
    entry.uid = Names::full_id(item.plan()) + "-" + std::to_string(item.due_ms());
    if (const int again = seen[entry.uid]++) entry.uid += "-" + std::to_string(again);
    entry.uid += "@wrackline";
    entry.summary = std::string(kind_text(item.due_kind())) + ": " + item.subject_name() + ", " + what_text(item);
    entry.start_ms = item.due_ms();
    entries.push_back(std::move(entry));
  }
  if (entries.empty()) throw not_found("nothing is due at a time of that day; no calendar was written");
  const Result<std::string> text = calendar_text({"Wrackline", now}, entries);
  if (!text) throw refused(text.error().message);
  write_file(path, *text, "the calendar");
}

bool needs_a_look(const DueItem& item) {
  return item.state() == DUE_STATE_LATE || item.state() == DUE_STATE_MISSED;
}

Exit round(Client& client, const RoundArgs& args) {
  Names names(client);
  const Zone& zone = client.zone();
  Call call;
  RoundCall& ask = *call.mutable_round();
  ask.set_day(typed(zone.parse_day_of(args.day, client.now())));
  ask.set_area(args.area);
  if (!args.animal.empty()) *ask.add_animals() = names.find("animal", args.animal);
  put_zone(ask, zone, ask.day());
  const RoundReply reply = client.call(call).round();
  if (!args.calendar.empty()) {
    write_calendar(reply, args.calendar, client.now());
    print("wrote " + args.calendar + "\n");
    return Exit::kOk;
  }
  bool has_open = false, has_dose = false;
  Json json;
  Table table({"AT", "STATE", "FOR", "POOL", "", "WHAT"});
  json.object().member("day", print_day(ask.day())).key("known_as_of");
  reply.known_as_of_ms() ? json.text(zone.print_exact(reply.known_as_of_ms())) : json.null();
  json.key("items").array();
  for (const DueItem& item : reply.items()) {
    has_open = has_open || needs_a_look(item);
    if (args.open && (item.state() == DUE_STATE_DONE || item.state() == DUE_STATE_UPCOMING)) continue;
    has_dose = has_dose || item.due_kind() == DUE_KIND_DOSE;
    item_json(json, item, zone);
    table.row({item.has_due_ms() ? zone.print_clock(item.due_ms()) : "any time", state_of(item, zone),
               item.subject_name(), item.pool_name() == item.subject_name() ? "" : item.pool_name(),
               kind_text(item.due_kind()), what_text(item)});
  }
  if (client.json()) {
    print(json.end().end());
  } else if (table.empty()) {
    print(std::string("nothing ") + (args.open ? "open" : "due") + " on " + print_day(ask.day()) + "; " +
          known_until_text(reply, zone) + "\n");
  } else {
    std::string out = "Round of " + print_day(ask.day()) + (args.area.empty() ? "" : ", " + args.area) + "; " +
                      known_until_text(reply, zone) + "\n\n" + table.str();
    if (has_dose) out += "\n" + wrapped_lines(kDoseCaution);
    print(out);
  }
  return args.check && has_open ? Exit::kReview : Exit::kOk;
}

}  // namespace

void add_round_command(CLI::App& app, Action& chosen) {
  auto args = std::make_shared<RoundArgs>();
  CLI::App* c = app.add_subcommand("round", "What is due on a day and how it stands: meals, doses, measures, water");
  c->group("Keeper");
  c->add_option("--day", args->day, "today, yesterday or 2026-11-24")->capture_default_str();
  c->add_option("--area", args->area, "Only of this area");
  c->add_option("--of", args->animal, "Only of this animal");
  c->add_flag("--open", args->open, "Only what is due, late, missed or not known here");
  c->add_flag("--check", args->check, "End with exit code 7 when anything is late or missed");
  c->add_option("--calendar", args->calendar, "Write what has a time and is not done to this file (iCalendar)");
  c->footer(kDoseCaution);
  runs(c, chosen, args, round);
}

}  // namespace wrackline::cli
