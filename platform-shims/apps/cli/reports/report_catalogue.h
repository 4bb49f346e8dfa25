// The English words of the core's reports, by their codes (core/report/README.md).
#pragma once

#include <functional>
#include <map>
#include <string>

namespace wrackline::cli {

using ReportCatalogue = std::map<std::string, std::string, std::less<>>;

const ReportCatalogue& report_headings();  // Headings of tables.
const ReportCatalogue& report_titles();    // Titles of columns whose code without its unit will not do.
// Sentences: "{0}" is the first parameter, "{0 day|days}" with the word for one or for several behind it.
const ReportCatalogue& report_notes();
const ReportCatalogue& report_codes();     // In cells, where the code's own words will not do; with parameters as in notes.

}  // namespace wrackline::cli
