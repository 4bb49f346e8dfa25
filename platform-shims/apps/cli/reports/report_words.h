// A report of the core in English: its headings, codes and notes become words here, and its cells text. One catalogue for text, page
// and JSON.
#pragma once

#include <string>

#include "cli/client.h"
#include "cli/names.h"
#include "cli/reports/report.h"

namespace wrackline::cli {

class ReportWords {
 public:
  ReportWords(Client& client, Names& names) : client_(client), names_(names) {}

  // All of it but its CSV.
  Report report(const ReportReply& reply);
  std::string title(const ReportReply& reply);
  std::string heading(const ReportTable& table);
  ReportSection section(const ReportTable& table);

  // Tells a cell as people read it: figures rounded, times in the facility's time, an absent cell "".
  std::string cell(const ReportColumn& column, const ReportCell& cell);
  // The sentence of a note; the code itself where a newer release has written it.
  std::string note(const ReportCode& note);
  // The word or words of a code in a cell.
  std::string code(const ReportCode& code);
  // A value of a field, as the trail tells it.
  std::string value(const ReportField& field);

 private:
  std::string parameter(const ReportCell& cell);

  Client& client_;
  Names& names_;
};

}  // namespace wrackline::cli
