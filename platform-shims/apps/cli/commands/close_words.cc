// wrack close, closes: the day of an area is complete, by whose word, and what came after.
#include "cli/asking.h"
#include "cli/cautions.h"
#include "cli/command.h"
#include "cli/hub_access.h"
#include "cli/reports/report_json.h"
#include "cli/reports/report_words.h"
#include "report/csv_cell.h"

namespace wrackline::cli {
namespace {

struct CloseArgs {
  std::string area, day = "today", note;
};
struct ClosesArgs {
  std::string area, from, to;
  ReportFiles files;
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

// In words, a line an amendment: people read it in a spreadsheet.
std::string csv_of(const ReportReply& reply, ReportWords& words) {
  std::string out;
  for (const ReportTable& table : reply.tables()) {
    std::vector<std::string> cells;
    for (const ReportColumn& column : table.columns()) cells.push_back(csv_cell(column.code()));
    if (out.empty()) out = csv_line(cells);
    for (const ReportRow& row : table.rows()) {
      for (int c = 0; c < table.columns_size(); ++c) cells[static_cast<std::size_t>(c)] = csv_cell(words.cell(table.columns(c), row.cells(c)));
      out += csv_line(cells);
    }
  }
  return out;
}

Exit list_closes(Client& client, const ClosesArgs& args) {
  if (args.hub) client.let_answer(asks(client, true));
  Names names(client);
  const ReportSpan span = report_span(client, args.from, args.to, 14);
  Call call;
  ReportCall& ask = *call.mutable_report();
  ask.set_report(REPORT_KIND_CLOSES);
  ask.set_area(args.area);
  ask.set_first_day(span.first);
  ask.set_last_day(span.last);
  const ReportReply reply = client.call(call).report();
  ReportWords words(client, names);
  Report report = words.report(reply);
  if (!args.files.csv.empty()) report.csv = csv_of(reply, words);
  show_report(client, report, args.files);
  if (client.json()) print_report_json(reply, words);
  return Exit::kOk;
}

}  // namespace

std::string close_standing_text(CloseStanding standing) {
  switch (standing) {
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
  l->add_option("--html", closes->files.html, "Write a page to print into this file");
  l->add_option("--csv", closes->files.csv, "Write a line an amendment into this file")->excludes(l->get_option("--html"));
  l->add_flag("--hub", closes->hub, "Ask the hub's replica instead of this one");
  runs(l, chosen, closes, list_closes);
}

}  // namespace wrackline::cli
