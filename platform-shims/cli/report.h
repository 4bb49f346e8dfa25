// What the reports share: one is put together once, as sections, and shown as text, as a page to print, or by its own
// JSON. Figures are the core's; a report adds none of its own.
#pragma once

#include <string>
#include <vector>

#include "client.h"
#include "json.h"
#include "names.h"

namespace wrackline::cli {

struct ReportSection {
  std::string heading;
  std::vector<std::string> notes;  // Sentences under the heading.
  std::string chart;               // By svg_text(); on the page only. May be empty.
  std::vector<std::string> titles;
  std::vector<std::vector<std::string>> rows;
};

struct Report {
  std::string title;
  std::vector<ReportSection> sections;  // Those without notes and rows are left out.
  std::vector<std::string> cautions;
};

// How old the knowledge behind the report is.
std::string known_text(Client& client);

// Tells the report: into the file `html` where that is not empty, as text otherwise. With --json the caller prints.
void show_report(Client& client, const Report& report, const std::string& html);

// The first and last day of `--from` and `--to`; both may be empty: `days` days up to today. Throws Stop (usage) when
// they are the wrong way round, or more than 1000 days apart.
struct ReportSpan {
  Day first = 0, last = 0;
};
ReportSpan report_span(Client& client, const std::string& from, const std::string& to, Day days);

// Records in account, for a section: those that are struck or folded are left out.
std::vector<RecordView> in_account(std::vector<RecordView> views);

// "2026-10-03 08:35"
template <typename Event>
std::string when_of(const Event& event, const Zone& zone) {
  return event.has_happened_ms() ? zone.print(event.happened_ms()) : "";
}

struct ReportArgs {
  std::string subject, from, to, area, html, csv;
};
Exit report_animal(Client& client, const ReportArgs& args);      // report_animal.cc
Exit report_day(Client& client, const ReportArgs& args);         // report_day.cc
Exit report_month(Client& client, const ReportArgs& args);       // report_month.cc
Exit report_treatments(Client& client, const ReportArgs& args);  // report_treatments.cc

}  // namespace wrackline::cli
