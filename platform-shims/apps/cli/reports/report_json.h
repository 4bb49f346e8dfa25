// A report of the core as JSON: exact figures, codes and ids, with the columns' codes for members.
#pragma once

#include "cli/reports/report_words.h"

namespace wrackline::cli {

// Prints it as one object. What is absent is left out; a value of a field is told in words.
void print_report_json(const ReportReply& reply, ReportWords& words);

}  // namespace wrackline::cli
