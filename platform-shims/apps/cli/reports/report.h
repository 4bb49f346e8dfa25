// A report in words, shown as text or as a page to print: what `wrack report` makes of the core's tables (report_words.h), and what the
// trail, the review and the closes put on paper.
#pragma once

#include <string>
#include <vector>

#include "cli/client.h"

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
  std::string csv;  // Its figures; empty where --csv was not given.
};

// Where a report goes: into the file of one of these, else as text to standard output.
struct ReportFiles {
  std::string html, csv;
};

// Up to when what others did is known to who answers; 0: this device never exchanged.
WallMs known_as_of(Client& client);
std::string known_text(Client& client, WallMs known_ms);

// With --json and no file it tells nothing: the caller prints.
void show_report(Client& client, const Report& report, const ReportFiles& files);

// The first and last day of `--from` and `--to`; both may be empty: `days` days up to today. Throws Stop (usage) when
// they are the wrong way round, or more than 1000 days apart.
struct ReportSpan {
  Day first = 0, last = 0;
};
ReportSpan report_span(Client& client, const std::string& from, const std::string& to, Day days);

}  // namespace wrackline::cli
