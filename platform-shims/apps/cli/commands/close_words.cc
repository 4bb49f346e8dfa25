// wrack close, closes: the day of an area is complete, by whose word, and what came after.
#include <map>

#include "cli/asking.h"
#include "cli/cautions.h"
#include "cli/command.h"
#include "cli/commands/close_words.h"
#include "cli/hub_access.h"
#include "cli/record_fields.h"
#include "text/csv.h"
#include "text/message_schema.h"
#include "text/table.h"

namespace wrackline::cli {
namespace {

struct CloseArgs {
  std::string area, day = "today", note;
};
struct ClosesArgs {
  std::string area, from, to, html, csv;
  bool hub = false;
};

std::string open_line(const OpenPoint& point, Client& client, Names& names) {
  const std::string of = point.subject_name().empty() ? "" : point.subject_name() + ": ";
  const std::string id = is_set(point.record()) ? "   " + names.short_id(point.record()) : "";
  const std::string at = point.has_at_ms() && point.at_ms() ? ", " + client.zone().print_clock(point.at_ms()) : "";
  std::string what = point.what();
  for (char& c : what)
    if (c == '_') c = ' ';
  switch (point.rule()) {
    case OPEN_RULE_UNWEIGHED:
      return of + "leftover of " + what + " not weighed" + id;
    case OPEN_RULE_NOT_DONE:
      return of + (what.empty() ? "something" : what) + at + ": due, and nothing is recorded" + id;
    case OPEN_RULE_REVIEW:
      return of + what + " to be settled" + id;
    case OPEN_RULE_HELD:
      return "held by the hub" + id;
    case OPEN_RULE_NOT_HEARD: {
      const std::string since = point.at_ms() ? "since " + client.zone().print(point.at_ms()) : "ever";
      if (!is_set(point.record())) return "this device has not exchanged " + since + ": what others wrote of the day is not known here";
      return point.subject_name() + ": nothing of the day is here from it, nothing heard " + since;
    }
    default:
      return of + "something a newer release knows of" + id;
  }
}

DayCloseReply look(const Call& call, Client& client) {
  Call only = call;
  only.mutable_day_close()->set_look_only(true);
  return client.call(only).day_close();
}

Exit close_day(Client& client, const CloseArgs& args) {
  Names names(client);
  Call call = client.authored();
  const Day day = typed(client.zone_for_writing().parse_day_of(args.day, client.now()));
  DayCloseCall& close = *call.mutable_day_close();
  close.set_area(args.area);
  close.set_day(day);
  close.set_note(args.note);
  close.set_utc_offset_min(client.event_time("").utc_offset_min);
  put_zone(close, client.zone(), day);
  if (!client.json()) {
    const DayCloseReply here = look(call, client);
    std::string out = "The day " + print_day(day) + " of " + args.area + ": " + std::to_string(here.records()) + " records, " +
                      std::to_string(here.changes()) + " changes";
    out += here.closed_before() ? ", closed before\n" : "\n";
    if (here.records() == 0) out += "  Nothing is recorded of it: is the area's name right?\n";
    if (here.open_size() > 0) out += "  Still open:\n";
    for (const OpenPoint& point : here.open()) out += wrapped_lines("- " + open_line(point, client, names), 4);
    print(out);
  }
  // The core asks about what is open; the yes to it stands in the close.
  const DayCloseReply done = client.call(call).day_close();
  if (client.json()) {
    Json json;
    json.object().member("record", Names::full_id(done.record())).member("area", args.area).member("day", print_day(day));
    json.member("records", done.records()).member("changes", done.changes()).member("sha256", to_hex(done.sha256()));
    print(json.member("sealed", done.sealed()).member("open", done.open_size()).end());
    return Exit::kOk;
  }
  print("closed " + names.short_id(done.record()) + "  " + print_day(day) + " of " + args.area + "; " +
        (done.sealed() ? "sealed by this device\n" : "NOT sealed: this device's key failed; the next exchange seals it\n"));
  return Exit::kOk;
}

// A line about a new record tells the fields that the author wrote, and not those that the core adds.
bool is_said(const TrailEntry& e) { return !is_built_in(e.field()) && field_name(e.kind(), e.field()) != "utc_offset_min"; }

std::string csv_of(const ClosesReply& closes, Client& client, TrailWords& words) {
  const Zone& zone = client.zone();
  std::string out = csv_line({"close", "area", "day", "closed_by", "device", "entered", "standing", "records", "changes", "sha256",
                              "amendment", "amended_record", "field", "old", "new", "amended_by", "amended_device", "amended",
                              "came_later", "reason"});
  for (const CloseView& c : closes.closes()) {
    const std::vector<std::string> head = {Names::full_id(c.record()), csv_cell(c.area()), print_day(c.day()), csv_cell(c.author_name()),
                                           csv_cell(c.device_name()), zone.print_exact(c.entered_ms()), csv_cell(close_standing_text(c)),
                                           csv_figure(!c.sha256().empty(), c.records()), csv_figure(!c.sha256().empty(), c.changes()),
                                           to_hex(c.sha256())};
    const auto line = [&](std::vector<std::string> rest) {
      std::vector<std::string> cells = head;
      rest.resize(10);
      cells.insert(cells.end(), rest.begin(), rest.end());
      out += csv_line(cells);
    };
    if (c.amendments_size() == 0) line({});
    for (const TrailEntry& e : c.amendments())
      line({Names::full_id(e.change()), csv_cell(words.record_name(e)), field_name(e.kind(), e.field()), csv_cell(words.old_values(e)),
            csv_cell(words.new_value(e)), csv_cell(TrailWords::author(e)), csv_cell(words.device(e)), zone.print_exact(e.entered_ms()),
            e.came_later() ? "yes" : "no", csv_cell(e.reason())});
  }
  return out;
}

void closes_json(const ClosesReply& closes, Client& client, TrailWords& words) {
  Json json;
  json.object().key("closes").array();
  for (const CloseView& c : closes.closes()) {
    json.object();
    put_close_json(json, c, client, words);
    json.end();
  }
  print(json.end().end());
}

Exit list_closes(Client& client, const ClosesArgs& args) {
  if (args.hub) client.let_answer(asks(client, true));
  Names names(client);
  TrailWords words(client, names);
  const ReportSpan span = report_span(client, args.from, args.to, 14);
  const ClosesReply closes = closes_of(client, args.area, span.first, span.last);
  Report report;
  report.title = "Closed days, " + print_day(span.first) + " to " + print_day(span.last) + (args.area.empty() ? "" : ", " + args.area);
  for (const CloseView& close : closes.closes()) report.sections.push_back(close_section(close, client, names, words));
  if (report.sections.empty()) report.sections.push_back({"Closes", {"No day of these was closed, by what is known here."}, {}, {}, {}});
  report.csv = csv_of(closes, client, words);
  ReportArgs files;
  files.html = args.html;
  files.csv = args.csv;
  show_report(client, report, files);
  if (client.json()) closes_json(closes, client, words);
  return Exit::kOk;
}

}  // namespace

ClosesReply closes_of(Client& client, const std::string& area, Day first, Day last) {
  Call call;
  call.mutable_closes()->set_area(area);
  call.mutable_closes()->set_first_day(first);
  call.mutable_closes()->set_last_day(last);
  return client.call(call).closes();
}

std::string close_standing_text(const CloseView& close) {
  switch (close.standing()) {
    case CLOSE_STANDING_SAID:
      return "names no changes: what came after is told by the clocks";
    case CLOSE_STANDING_HOLDS:
      return "what was closed is here as it was closed";
    case CLOSE_STANDING_NOT_HERE:
      return "not all that was closed is here, or some of it is held";
    case CLOSE_STANDING_DIFFERENT:
      return "WHAT IS HERE IS NOT WHAT WAS CLOSED; see `wrack verify`";
    default:
      return "of a newer release";
  }
}

ReportSection close_section(const CloseView& close, Client& client, Names& names, TrailWords& words) {
  const Zone& zone = client.zone();
  ReportSection out;
  out.heading = print_day(close.day()) + " of " + close.area() + ", closed " + zone.print(close.entered_ms()) + " by " +
                (close.author_name().empty() ? "the hub" : close.author_name()) + " on " + close.device_name() + "   " +
                names.short_id(close.record());
  if (!close.note().empty()) out.notes.push_back(close.note());
  std::string what;
  if (!close.sha256().empty())
    what = std::to_string(close.records()) + " records, " + std::to_string(close.changes()) + " changes, digest " +
           to_hex(close.sha256()).substr(0, 16) + "; ";
  what += close_standing_text(close);
  what += close.sealed() ? "; sealed" : "; not sealed yet";
  out.notes.push_back(what + ".");
  if (close.has_confirmation()) out.notes.push_back("Open when it was closed: " + confirmation_text(close.confirmation(), client, names));
  if (close.amended_changes() == 0) {
    out.notes.emplace_back("No amendment since, by what is known here.");
    return out;
  }
  out.notes.push_back(std::to_string(close.amended_changes()) + (close.amended_changes() == 1 ? " amendment since:" : " amendments since:"));
  out.titles = {"ENTERED", "BY, ON", "RECORD", "FIELD", "WAS -> BECAME", "NOTICE", "WHY"};
  ChangeId last;
  for (const TrailEntry& e : close.amendments()) {
    const bool is_first = id_of(e.change()) != last;
    last = id_of(e.change());
    // One line tells all that a new record says; its fields one by one are in the trail.
    if (e.birth() && !is_first) {
      if (is_said(e)) out.rows.back()[4] += "; " + field_label(e.kind(), e.field()) + " " + words.new_value(e);
      continue;
    }
    if (e.birth()) {
      out.rows.push_back({zone.print(e.entered_ms()), TrailWords::author(e) + ", " + words.device(e), words.record_name(e), "new record",
                          field_label(e.kind(), e.field()) + " " + words.new_value(e), TrailWords::marks(e), e.reason()});
      continue;
    }
    const auto once = [is_first](std::string text) { return is_first ? text : std::string(); };
    out.rows.push_back({once(zone.print(e.entered_ms())), once(TrailWords::author(e) + ", " + words.device(e)), once(words.record_name(e)),
                        field_label(e.kind(), e.field()), words.step(e), once(TrailWords::marks(e)), once(e.reason())});
  }
  return out;
}

void put_close_json(Json& json, const CloseView& close, Client& client, TrailWords& words) {
  json.member("record", Names::full_id(close.record())).member("area", close.area()).member("day", print_day(close.day()));
  json.member("author_name", close.author_name()).member("device", close.device_name());
  json.member("entered", client.zone().print_exact(close.entered_ms())).member("sealed", close.sealed());
  json.member("names_changes", !close.sha256().empty()).member("records", close.records()).member("changes", close.changes());
  json.member("sha256", to_hex(close.sha256())).member("standing", close_standing_text(close));
  json.member("stands", close.standing() == CLOSE_STANDING_HOLDS).member("amended_changes", close.amended_changes());
  json.key("amendments").array();
  for (const TrailEntry& e : close.amendments()) words.put_json(json, e);
  json.end();
}

void add_closing_commands(CLI::App& app, Action& chosen) {
  auto args = std::make_shared<CloseArgs>();
  CLI::App* c = app.add_subcommand("close", "Close an area's day: shows what is open, then signs what is recorded");
  c->group("Keeper");
  c->add_option("--area", args->area, "Whose day is complete")->required();
  c->add_option("--day", args->day, "today, yesterday or 2026-11-24")->capture_default_str();
  c->add_option("--note", args->note, "What is to be known of it");
  runs(c, chosen, args, close_day);

  auto closes = std::make_shared<ClosesArgs>();
  CLI::App* l = app.add_subcommand("closes", "Closed days: by whom, whether they still stand, and the amendments since");
  l->group("Records officer");
  l->add_option("--area", closes->area, "Only this area");
  l->add_option("--from", closes->from, "First day: 2026-11-24, today or yesterday; 14 days without it");
  l->add_option("--to", closes->to, "Last day; today without it");
  l->add_option("--html", closes->html, "Write a page to print into this file");
  l->add_option("--csv", closes->csv, "Write a line an amendment into this file")->excludes(l->get_option("--html"));
  l->add_flag("--hub", closes->hub, "Ask the hub's replica instead of this one");
  runs(l, chosen, closes, list_closes);
}

}  // namespace wrackline::cli
