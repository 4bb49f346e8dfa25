// wrack report: the core's reports, as text, page, CSV or JSON. Every call of a report only reads, so the hub's replica can answer them
// all (--hub).
#include <algorithm>

#include "cli/cautions.h"
#include "cli/command.h"
#include "cli/hub_access.h"
#include "cli/reports/report_json.h"

namespace wrackline::cli {
namespace {

struct ReportArgs {
  ReportKind kind = REPORT_KIND_UNSPECIFIED;
  std::string subject, animal, from, to, area, month, table;
  ReportFiles files;
  bool hub = false;
};

// Offsets are handed in from here on: no records of a centre are older.
constexpr Day kFirstEntries = 10'957;  // 2000-01-01

// "2026-10", up to today where the month is not over.
ReportSpan month_of(const std::string& text, Client& client) {
  const Result<Day> first = parse_day(text + "-01");
  if (!first) throw usage("\"" + text + "\" is not a month; write it as 2026-10");
  Day last = *first + 27;
  while (print_day(last + 1).substr(0, 7) == text) ++last;
  const Day today = client.zone().today(client.now());
  if (*first > today) throw usage("the month " + text + " has not begun");
  return {*first, std::min(last, today)};
}

ReportSpan days_of(const ReportArgs& args, Client& client) {
  if (args.kind == REPORT_KIND_MONTH) return month_of(args.month, client);
  if (args.kind == REPORT_KIND_DAY || args.kind == REPORT_KIND_RETENTION) {
    const Day day = typed(client.zone().parse_day_of(args.from, client.now()));
    return {day, day};
  }
  return report_span(client, args.from, args.to, args.kind == REPORT_KIND_TREATMENTS ? 14 : 28);
}

ReportCall call_of(const ReportArgs& args, Client& client, Names& names) {
  ReportCall out;
  out.set_report(args.kind);
  if (!args.subject.empty()) *out.mutable_subject() = names.find(args.kind == REPORT_KIND_WATER ? "pool" : "animal", args.subject);
  if (!args.animal.empty()) *out.mutable_subject() = names.find("animal", args.animal);
  out.set_area(args.area);
  const ReportSpan span = days_of(args, client);
  out.set_first_day(span.first);
  out.set_last_day(span.last);
  put_zone(out, client.zone(), args.kind == REPORT_KIND_RETENTION ? kFirstEntries : span.first, span.last);
  return out;
}

Exit show(Client& client, const ReportArgs& args) {
  if (args.hub) client.let_answer(asks(client, true));
  Names names(client);
  const ReportCall ask = call_of(args, client, names);
  Report report;
  if (!args.files.csv.empty()) {
    Call call;
    *call.mutable_csv()->mutable_report() = ask;
    call.mutable_csv()->set_table(args.table);
    report.csv = client.call(call).csv().csv();
    show_report(client, report, args.files);
    return Exit::kOk;
  }
  Call call;
  *call.mutable_report() = ask;
  const ReportReply reply = client.call(call).report();
  ReportWords words(client, names);
  if (client.json() && args.files.html.empty()) {
    print_report_json(reply, words);
    return Exit::kOk;
  }
  report = words.report(reply);
  show_report(client, report, args.files);
  return Exit::kOk;
}

}  // namespace

void add_report_commands(CLI::App& app, Action& chosen) {
  CLI::App* report =
      app.add_subcommand("report", "Reports to read or print: an animal, a day, a month, treatments, water, retention");
  report->group("Records officer");
  report->require_subcommand(1);
  const auto add = [&](const char* name, const char* what, ReportKind kind, const std::string& cautions) {
    auto args = std::make_shared<ReportArgs>();
    args->kind = kind;
    CLI::App* c = report->add_subcommand(name, what);
    c->add_option("--html", args->files.html, "Write a page to print into this file");
    c->add_option("--csv", args->files.csv, "Write the figures into this file")->excludes(c->get_option("--html"));
    c->add_option("--table", args->table, "With --csv: the table to write, by its name in --json; the main one without it")
        ->needs(c->get_option("--csv"));
    c->add_flag("--hub", args->hub, "Ask the hub's replica instead of this one");
    c->footer(cautions);
    runs(c, chosen, args, show);
    return std::make_pair(c, args);
  };
  const auto spanned = [](CLI::App* c, ReportArgs& args, const char* subject, const char* from) {
    c->add_option(subject, args.subject, "Name or id")->required();
    c->add_option("--from", args.from, from);
    c->add_option("--to", args.to, "Last day; today without it");
  };
  const std::string intake_and_dose = std::string(kIntakeCaution) + "\n" + kDoseCaution;

  const auto [a, animal] =
      add("animal", "An animal's history: intake against plan, mass, doses, what was seen", REPORT_KIND_ANIMAL, intake_and_dose);
  spanned(a, *animal, "animal", "First day: 2026-11-24, today or yesterday; 28 days without it");

  const auto [d, day] = add("day", "A day: what needs attention, intake, doses, what was seen, what is to be settled", REPORT_KIND_DAY, intake_and_dose);
  day->from = "today";
  d->add_option("day", day->from, "today, yesterday or 2026-11-24")->capture_default_str();
  d->add_option("--area", day->area, "Only this area");

  const auto [m, month] = add("month", "A line an animal: days recorded, eaten, within plan, mass, doses", REPORT_KIND_MONTH, intake_and_dose);
  m->add_option("month", month->month, "2026-10")->required();
  m->add_option("--area", month->area, "Only this area");
  m->add_option("--animal", month->animal, "Only this animal or group, with its days");

  const auto [t, treatments] = add("treatments", "An animal's orders, and what came of each dose that was due", REPORT_KIND_TREATMENTS, kDoseCaution);
  spanned(t, *treatments, "animal", "First day: 2026-11-24, today or yesterday; 14 days without it");

  const auto [w, water] = add("water", "A pool's readings over time against their limits", REPORT_KIND_WATER, kWaterCaution);
  spanned(w, *water, "pool", "First day: 2026-11-24, today or yesterday; 28 days without it");

  const auto [r, retention] =
      add("retention", "What must still be kept and what is past its minimum; only a list", REPORT_KIND_RETENTION, kRetentionCaution);
  retention->from = "today";
  r->add_option("--day", retention->from, "As of this day: today, or 2026-11-24")->capture_default_str();
}

}  // namespace wrackline::cli
