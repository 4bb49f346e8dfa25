// CSV out, as RFC 4180 has it, for every app: what is quoted, and what keeps a spreadsheet from running a cell.
#pragma once

#include <string>
#include <string_view>
#include <vector>

namespace wrackline {

// A cell for a spreadsheet: quoted where needed, and kept from being run as a formula: text that begins with = + - @ tab or CR gets an
// apostrophe before it, negative numbers among it, and so does text that would look like that already. Figures go in as they are.
std::string csv_cell(std::string_view text);
// The text that stood in the cell before csv_cell() put its apostrophe there.
std::string csv_text(std::string_view cell);

// A line of cells, each as it goes into the file, with the line's end.
std::string csv_line(const std::vector<std::string>& cells);

}  // namespace wrackline
