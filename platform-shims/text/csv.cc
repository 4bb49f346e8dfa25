#include "text/csv.h"

namespace wrackline::text {

Result<std::vector<CsvRow>> parse_csv(std::string_view text, char separator) {
  if (text.substr(0, 3) == "\xef\xbb\xbf") text.remove_prefix(3);
  std::vector<CsvRow> rows;
  CsvRow row{1, {}};
  std::string cell;
  int line = 1;
  int opened_at = 0;
  enum { kStart, kBare, kQuoted, kClosed } state = kStart;

  const auto end_cell = [&] {
    row.cells.push_back(std::move(cell));
    cell.clear();
    state = kStart;
  };
  const auto end_row = [&] {
    end_cell();
    if (row.cells.size() > 1 || !row.cells[0].empty()) rows.push_back(std::move(row));
    row = {line + 1, {}};
  };

  for (std::size_t i = 0; i < text.size(); ++i) {
    const char c = text[i];
    if (state == kQuoted) {
      if (c == '"' && i + 1 < text.size() && text[i + 1] == '"') {
        cell.push_back('"');
        ++i;
      } else if (c == '"') {
        state = kClosed;
      } else {
        cell.push_back(c);
        if (c == '\n') ++line;
      }
      continue;
    }
    if (c == separator) {
      end_cell();
    } else if (c == '\r' && i + 1 < text.size() && text[i + 1] == '\n') {
      continue;  // The LF that follows ends the row.
    } else if (c == '\n') {
      end_row();
      ++line;
    } else if (state == kClosed) {
      return fail(ErrorCode::kMalformed,
                  "line " + std::to_string(line) + ", column " + std::to_string(row.cells.size() + 1) +
                      ": there is text after the closing quote; double a quote that belongs to the text");
    } else if (c == '"' && state == kStart) {
      state = kQuoted;
      opened_at = line;
    } else {
      cell.push_back(c);
      state = kBare;
    }
  }
  if (state == kQuoted)
    return fail(ErrorCode::kMalformed, "line " + std::to_string(opened_at) + ", column " +
                                           std::to_string(row.cells.size() + 1) +
                                           ": the quote is never closed");
  if (state != kStart || !cell.empty() || !row.cells.empty()) end_row();
  return rows;
}

}  // namespace wrackline::text
