#include "report.h"

#include <algorithm>

#include "cautions.h"
#include "command.h"
#include "html.h"
#include "table.h"

namespace wrackline::cli {
namespace {

constexpr Day kMostDays = 1000;

bool is_bare(const ReportSection& section) { return section.notes.empty() && section.rows.empty(); }

}  // namespace

std::string known_text(Client& client) {
  const WallMs known_ms = client.status().last_exchange_ms();
  if (known_ms == 0) return "What others did is not known here: this device never exchanged with the hub.";
  return "What others did is known up to " + client.zone().print(known_ms) + ".";
}

void show_report(Client& client, const Report& report, const std::string& html) {
  const std::string known = known_text(client);
  if (!html.empty()) {
    HtmlPage page(client.status().facility_name(), report.title, "Made " + client.zone().print(client.now()) + ". " + known);
    for (const ReportSection& section : report.sections) {
      if (is_bare(section)) continue;
      page.heading(section.heading);
      for (const std::string& note : section.notes) page.paragraph(note);
      page.chart(section.chart, section.titles, section.rows);
    }
    for (const std::string& caution : report.cautions) page.caution(caution);
    write_file(html, page.str(), "the page");
    if (!client.json()) print("written to " + html + "; open it in a browser and print it\n");
    return;
  }
  if (client.json()) return;
  print(report.title + "\n" + known + "\n");
  for (const ReportSection& section : report.sections) {
    if (is_bare(section)) continue;
    std::string out = "\n" + section.heading + "\n";
    for (const std::string& note : section.notes) out += wrapped_lines(note, 2);
    Table table(section.titles);
    for (const std::vector<std::string>& row : section.rows) table.row(row);
    print(out + (table.empty() ? "" : table.str(2)));
  }
  print("\n");
  for (const std::string& caution : report.cautions) print(wrapped_lines(caution));
}

ReportSpan report_span(Client& client, const std::string& from, const std::string& to, Day days) {
  ReportSpan span;
  span.last = to.empty() ? client.zone().today(client.now()) : typed(client.zone().parse_day_of(to, client.now()));
  span.first = from.empty() ? span.last - days + 1 : typed(client.zone().parse_day_of(from, client.now()));
  if (span.last < span.first) throw usage("--to is before --from");
  if (span.last - span.first >= kMostDays) throw usage("a report is of at most 1000 days; choose a later --from");
  return span;
}

std::vector<RecordView> in_account(std::vector<RecordView> views) {
  views.erase(std::remove_if(views.begin(), views.end(), [](const RecordView& v) { return !counts(v); }), views.end());
  return views;
}

void add_report_commands(CLI::App& app, Action& chosen) {
  CLI::App* report = app.add_subcommand("report", "Reports to read or print: an animal, a day, a month, treatments");
  report->group("Records officer");
  report->require_subcommand(1);
  const auto spanned = [](CLI::App* c, ReportArgs& args, const char* from) {
    c->add_option("animal", args.subject, "Name or id")->required();
    c->add_option("--from", args.from, from);
    c->add_option("--to", args.to, "Last day; today without it");
    c->add_option("--html", args.html, "Write a page to print into this file");
  };

  auto animal = std::make_shared<ReportArgs>();
  CLI::App* a = report->add_subcommand("animal", "An animal's history: intake against plan, mass, doses, what was seen");
  spanned(a, *animal, "First day: 2026-11-24, today or yesterday; 28 days without it");
  a->add_option("--csv", animal->csv, "Write the daily figures into this file")->excludes(a->get_option("--html"));
  a->footer(std::string(kIntakeCaution) + "\n" + kDoseCaution);
  runs(a, chosen, animal, report_animal);

  auto day = std::make_shared<ReportArgs>();
  day->from = "today";
  CLI::App* d = report->add_subcommand("day", "Every animal's day: intake, doses, what was seen, what is to be settled");
  d->add_option("day", day->from, "today, yesterday or 2026-11-24")->capture_default_str();
  d->add_option("--area", day->area, "Only this area");
  d->add_option("--html", day->html, "Write a page to print into this file");
  d->footer(std::string(kIntakeCaution) + "\n" + kDoseCaution);
  runs(d, chosen, day, report_day);

  auto month = std::make_shared<ReportArgs>();
  CLI::App* m = report->add_subcommand("month", "A line an animal: days recorded, eaten, within plan, mass, doses");
  m->add_option("month", month->from, "2026-10")->required();
  m->add_option("--html", month->html, "Write a page to print into this file");
  m->footer(std::string(kIntakeCaution) + "\n" + kDoseCaution);
  runs(m, chosen, month, report_month);

  auto treatments = std::make_shared<ReportArgs>();
  CLI::App* t = report->add_subcommand("treatments", "An animal's orders, and what came of each dose that was due");
  spanned(t, *treatments, "First day: 2026-11-24, today or yesterday; 14 days without it");
  t->footer(kDoseCaution);
  runs(t, chosen, treatments, report_treatments);
}

}  // namespace wrackline::cli
