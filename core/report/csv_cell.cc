#include "report/csv_cell.h"

namespace wrackline {
namespace {

// Whether a spreadsheet could run it, once apostrophes at its beginning are gone.
bool is_formula(std::string_view text) {
  const std::size_t at = text.find_first_not_of('\'');
  return at != std::string_view::npos && std::string_view("=+-@\t\r").find(text[at]) != std::string_view::npos;
}

}  // namespace

std::string csv_text(std::string_view cell) {
  if (!cell.empty() && cell.front() == '\'' && is_formula(cell)) cell.remove_prefix(1);
  return std::string(cell);
}

std::string csv_cell(std::string_view text) {
  std::string out;
  if (is_formula(text)) out.push_back('\'');
  out += text;
  if (out.find_first_of(",\"\r\n") == std::string::npos) return out;
  std::string quoted = "\"";
  for (const char c : out) {
    if (c == '"') quoted.push_back('"');
    quoted.push_back(c);
  }
  return quoted + "\"";
}

std::string csv_line(const std::vector<std::string>& cells) {
  std::string out;
  for (const std::string& cell : cells) out += (&cell == cells.data() ? "" : ",") + cell;
  return out + "\r\n";
}

}  // namespace wrackline
