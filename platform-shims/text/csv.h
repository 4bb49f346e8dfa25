// CSV in, as RFC 4180 has it: quoted fields may hold commas, line ends and doubled quotes; spaces are data.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "base/result.h"

namespace wrackline::text {

struct CsvRow {
  int line = 0;  // Where the row begins, from 1, as an editor counts.
  std::vector<std::string> cells;
};

// Takes LF for CRLF and a UTF-8 byte order mark, since spreadsheets write both; `separator` is a semicolon
// where the spreadsheet's language has a decimal comma. Empty lines are left out.
// Errors: kMalformed, naming the line: a quote left open, or text after a closing quote.
Result<std::vector<CsvRow>> parse_csv(std::string_view text, char separator = ',');

}  // namespace wrackline::text
