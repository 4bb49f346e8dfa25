#include "cli/reports/report.h"

#include <algorithm>

#include "cli/cautions.h"
#include "cli/command.h"
#include "cli/hub_access.h"
#include "text/html.h"
#include "text/table.h"

namespace wrackline::cli {
namespace {

constexpr Day kMostDays = 1000;

bool is_bare(const ReportSection& section) { return section.notes.empty() && section.rows.empty(); }

}  // namespace

WallMs known_as_of(Client& client) {
  return client.is_answered_elsewhere() ? client.now() : client.status().last_exchange_ms();
}

std::string known_text(Client& client, WallMs known_ms) {
  if (client.is_answered_elsewhere()) return "As the hub knows it.";
  if (known_ms == 0) return "What others did is not known here: this device never exchanged with the hub.";
  return "What others did is known up to " + client.zone().print(known_ms) + ".";
}

void show_report(Client& client, const Report& report, const ReportArgs& args) {
  const std::string known = known_text(client, known_as_of(client));
  if (!args.csv.empty()) {
    write_file(args.csv, report.csv, "the figures");
    if (!client.json()) print("written to " + args.csv + "\n");
    return;
  }
  if (!args.html.empty()) {
    HtmlPage page(client.status().facility_name(), report.title, "Made " + client.zone().print(client.now()) + ". " + known);
    for (const ReportSection& section : report.sections) {
      if (is_bare(section)) continue;
      page.heading(section.heading);
      for (const std::string& note : section.notes) page.paragraph(note);
      page.chart(section.chart, section.titles, section.rows);
    }
    for (const std::string& caution : report.cautions) page.caution(caution);
    write_file(args.html, page.str(), "the page");
    if (!client.json()) print("written to " + args.html + "; open it in a browser and print it\n");
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

std::string csv_line(const std::vector<std::string>& cells) {
  std::string out;
  for (const std::string& cell : cells) out += (&cell == cells.data() ? "" : ",") + cell;
  return out + "\r\n";
}

void set_axis(SvgChart& chart, Unit unit) {
  const std::string text = print_quantity(unit, 1'000'000'000);
  const std::size_t from = text.find_first_of("0123456789");
  const std::size_t to = std::min(text.find_first_not_of("0123456789", from), text.size());
  chart.decimals = 10 - static_cast<int>(to - from);
  chart.unit = text.substr(0, from) + text.substr(to);  // "pH 8.1", but "12 kg".
  chart.unit.erase(0, std::min(chart.unit.find_first_not_of(' '), chart.unit.size()));
  chart.unit.erase(chart.unit.find_last_not_of(' ') + 1);
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

namespace {

template <Exit (*report)(Client&, const ReportArgs&)>
Exit here_or_by_the_hub(Client& client, const ReportArgs& args) {
  if (args.hub) client.let_answer(asks(client, true));
  return report(client, args);
}

template <Exit (*report)(Client&, const ReportArgs&)>
void finish(CLI::App* c, Action& chosen, std::shared_ptr<ReportArgs> args, const std::string& cautions) {
  c->add_option("--html", args->html, "Write a page to print into this file");
  c->add_option("--csv", args->csv, "Write the figures into this file")->excludes(c->get_option("--html"));
  c->add_flag("--hub", args->hub, "Ask the hub's replica instead of this one");
  c->footer(cautions);
  runs(c, chosen, args, here_or_by_the_hub<report>);
}

}  // namespace

void add_report_commands(CLI::App& app, Action& chosen) {
  CLI::App* report =
      app.add_subcommand("report", "Reports to read or print: an animal, a day, a month, treatments, water, retention");
  report->group("Records officer");
  report->require_subcommand(1);
  const auto spanned = [](CLI::App* c, ReportArgs& args, const char* subject, const char* from) {
    c->add_option(subject, args.subject, "Name or id")->required();
    c->add_option("--from", args.from, from);
    c->add_option("--to", args.to, "Last day; today without it");
  };
  const std::string intake_and_dose = std::string(kIntakeCaution) + "\n" + kDoseCaution;

  auto animal = std::make_shared<ReportArgs>();
  CLI::App* a = report->add_subcommand("animal", "An animal's history: intake against plan, mass, doses, what was seen");
  spanned(a, *animal, "animal", "First day: 2026-11-24, today or yesterday; 28 days without it");
  finish<report_animal>(a, chosen, animal, intake_and_dose);

  auto day = std::make_shared<ReportArgs>();
  day->from = "today";
  CLI::App* d = report->add_subcommand("day", "Every animal's day: intake, doses, what was seen, what is to be settled");
  d->add_option("day", day->from, "today, yesterday or 2026-11-24")->capture_default_str();
  d->add_option("--area", day->area, "Only this area");
  finish<report_day>(d, chosen, day, intake_and_dose);

  auto month = std::make_shared<ReportArgs>();
  CLI::App* m = report->add_subcommand("month", "A line an animal: days recorded, eaten, within plan, mass, doses");
  m->add_option("month", month->from, "2026-10")->required();
  finish<report_month>(m, chosen, month, intake_and_dose);

  auto treatments = std::make_shared<ReportArgs>();
  CLI::App* t = report->add_subcommand("treatments", "An animal's orders, and what came of each dose that was due");
  spanned(t, *treatments, "animal", "First day: 2026-11-24, today or yesterday; 14 days without it");
  finish<report_treatments>(t, chosen, treatments, kDoseCaution);

  auto water = std::make_shared<ReportArgs>();
  CLI::App* w = report->add_subcommand("water", "A pool's readings over time against their limits");
  spanned(w, *water, "pool", "First day: 2026-11-24, today or yesterday; 28 days without it");
  finish<report_water>(w, chosen, water, kWaterCaution);

  auto retention = std::make_shared<ReportArgs>();
  retention->from = "today";
  CLI::App* r = report->add_subcommand("retention", "What must still be kept and what is past its minimum; only a list");
  r->add_option("--day", retention->from, "As of this day: today, or 2026-11-24")->capture_default_str();
  finish<report_retention>(r, chosen, retention, kRetentionCaution);
}

}  // namespace wrackline::cli
