// This file says what the reports share: one is put together once, as sections, and shown as text, as a page to print, or by its own
// JSON. Figures are the core's; a report adds none of its own. Every call of a report only reads, so the hub's replica
// can answer them all (--hub).
#pragma once

#include <string>
#include <vector>

#include "cli/client.h"
#include "cli/names.h"
#include "text/json.h"
#include "text/quantity.h"
#include "text/svg.h"

namespace wrackline::cli {

struct ReportSection {
  std::string heading;
  std::vector<std::string> notes;  // Sentences under the heading.
  std::string chart;               // A chart made by svg_text(), shown on the page only. May be empty.
  std::vector<std::string> titles;
  std::vector<std::vector<std::string>> rows;
};

struct Report {
  std::string title;
  std::vector<ReportSection> sections;  // Sections without notes and rows are left out.
  std::vector<std::string> cautions;
  std::string csv;  // Its figures, as csv_line() puts them together.
};

struct ReportArgs {
  std::string subject, from, to, area, html, csv;
  bool hub = false;
};

// Up to when what others did is known to who answers; 0: this device never exchanged.
WallMs known_as_of(Client& client);
std::string known_text(Client& client, WallMs known_ms);

// Tells the report: into the files of --html or --csv, as text otherwise. With --json the caller prints.
void show_report(Client& client, const Report& report, const ReportArgs& args);

// A line of CSV from cells. Figures are bare, as in --json, and "" where nothing is known; text goes through
// csv_cell() first.
std::string csv_line(const std::vector<std::string>& cells);
template <typename T>
std::string csv_figure(bool has, T value) {
  return has ? std::to_string(value) : "";
}

// The vertical axis in the unit in which people write such values: a value of 1'000'000'000 is printed in it.
void set_axis(SvgChart& chart, Unit unit);

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

Exit report_animal(Client& client, const ReportArgs& args);      // report_animal.cc
Exit report_day(Client& client, const ReportArgs& args);         // report_day.cc
Exit report_month(Client& client, const ReportArgs& args);       // report_month.cc
Exit report_treatments(Client& client, const ReportArgs& args);  // report_treatments.cc
Exit report_water(Client& client, const ReportArgs& args);       // report_water.cc
Exit report_retention(Client& client, const ReportArgs& args);   // report_retention.cc

}  // namespace wrackline::cli
