#include "cli/reports/report.h"

#include "cli/cautions.h"
#include "cli/command.h"
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

void show_report(Client& client, const Report& report, const ReportFiles& files) {
  const std::string known = known_text(client, known_as_of(client));
  if (!files.csv.empty()) {
    write_file(files.csv, report.csv, "the figures");
    if (!client.json()) print("written to " + files.csv + "\n");
    return;
  }
  if (!files.html.empty()) {
    HtmlPage page(client.status().facility_name(), report.title, "Made " + client.zone().print(client.now()) + ". " + known);
    for (const ReportSection& section : report.sections) {
      if (is_bare(section)) continue;
      page.heading(section.heading);
      for (const std::string& note : section.notes) page.paragraph(note);
      page.chart(section.chart, section.titles, section.rows);
    }
    for (const std::string& caution : report.cautions) page.caution(caution);
    write_file(files.html, page.str(), "the page");
    if (!client.json()) print("written to " + files.html + "; open it in a browser and print it\n");
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

}  // namespace wrackline::cli
