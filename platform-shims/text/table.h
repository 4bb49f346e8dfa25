// Plain tables for people: columns lined up, nothing drawn, readable at 100 columns and in a log file.
#pragma once

#include <string>
#include <string_view>
#include <vector>

namespace wrackline::text {

inline constexpr std::size_t kTableWidth = 100;

// Columns as a terminal counts them; characters beyond Latin scripts may take two, which is not known here.
std::size_t text_width(std::string_view text);

// Cuts text at spaces into lines of at most `width`; words longer than that are left whole, and a number is
// not parted from its unit.
std::vector<std::string> wrap(std::string_view text, std::size_t width);

class Table {
 public:
  // A title that begins with '>' is for a column of numbers, lined up at the right.
  explicit Table(std::vector<std::string> titles);

  // Missing cells are empty. Line ends inside a cell become spaces.
  void row(std::vector<std::string> cells);
  bool empty() const { return rows_.empty(); }

  // Columns that are empty in every row are left out. Columns of text and titles of numbers are wrapped where the line
  // would get too long, the widest first. `indent` spaces come before every line.
  std::string str(std::size_t indent = 0) const;

 private:
  void fit(const std::vector<std::size_t>& shown, std::size_t indent, std::vector<std::size_t>& widths) const;

  std::vector<std::string> titles_;
  std::vector<bool> right_;
  std::vector<std::vector<std::string>> rows_;
};

}  // namespace wrackline::text
