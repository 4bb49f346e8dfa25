#include "text/table.h"

#include <algorithm>

namespace wrackline::text {

std::size_t text_width(std::string_view text) {
  return static_cast<std::size_t>(std::count_if(
      text.begin(), text.end(), [](char c) { return (static_cast<unsigned char>(c) & 0xc0) != 0x80; }));
}

std::vector<std::string> wrap(std::string_view text, std::size_t width) {
  std::vector<std::string> lines;
  std::string line;
  for (std::size_t at = 0; at <= text.size();) {
    std::size_t space = std::min(text.find(' ', at), text.size());
    // A number stays on the line of its unit.
    if (space > at && space < text.size() &&
        text.substr(at, space - at).find_first_not_of("0123456789.,-") == std::string_view::npos)
      space = std::min(text.find(' ', space + 1), text.size());
    const std::string word(text.substr(at, space - at));
    if (!line.empty() && text_width(line) + 1 + text_width(word) > width) {
      lines.push_back(std::move(line));
      line.clear();
    }
    if (!line.empty()) line.push_back(' ');
    line += word;
    at = space + 1;
  }
  lines.push_back(std::move(line));
  return lines;
}

Table::Table(std::vector<std::string> titles) {
  for (std::string& title : titles) {
    right_.push_back(!title.empty() && title[0] == '>');
    titles_.push_back(right_.back() ? title.substr(1) : std::move(title));
  }
}

void Table::row(std::vector<std::string> cells) {
  cells.resize(titles_.size());
  for (std::string& cell : cells) std::replace(cell.begin(), cell.end(), '\n', ' ');
  rows_.push_back(std::move(cells));
}

std::string Table::str(std::size_t indent) const {
  std::vector<std::size_t> shown, widths;
  for (std::size_t c = 0; c < titles_.size(); ++c) {
    std::size_t width = 0;
    for (const auto& row : rows_) width = std::max(width, text_width(row[c]));
    if (width == 0) continue;
    shown.push_back(c);
    widths.push_back(std::max(width, text_width(titles_[c])));
  }
  if (shown.empty()) return {};
  fit(shown, indent, widths);

  std::string out;
  const auto print = [&](const std::vector<std::string>& cells) {
    std::vector<std::vector<std::string>> lines;
    std::size_t height = 1;
    for (std::size_t i = 0; i < shown.size(); ++i) {
      lines.push_back(wrap(cells[shown[i]], widths[i]));
      height = std::max(height, lines.back().size());
    }
    for (std::size_t at = 0; at < height; ++at) {
      std::string line(indent, ' ');
      for (std::size_t i = 0; i < shown.size(); ++i) {
        const std::string cell = at < lines[i].size() ? lines[i][at] : std::string();
        const std::size_t padding = widths[i] > text_width(cell) ? widths[i] - text_width(cell) : 0;
        if (right_[shown[i]]) line.append(padding, ' ');
        line += cell;
        if (!right_[shown[i]]) line.append(padding, ' ');
        line += "  ";
      }
      line.erase(line.find_last_not_of(' ') + 1);
      out += line + "\n";
    }
  };
  if (std::any_of(titles_.begin(), titles_.end(), [](const std::string& t) { return !t.empty(); }))
    print(titles_);
  for (const auto& row : rows_) print(row);
  return out;
}

// Narrows the widest columns of text until the line fits, but none below its longest word.
void Table::fit(const std::vector<std::size_t>& shown, std::size_t indent, std::vector<std::size_t>& widths) const {
  std::vector<std::size_t> least;
  std::size_t total = indent + 2 * (shown.size() - 1);
  for (std::size_t i = 0; i < shown.size(); ++i) {
    const std::size_t c = shown[i];
    std::size_t word = 10;
    const auto measure = [&](const std::string& cell) {
      for (const std::string& w : wrap(cell, 1)) word = std::max(word, text_width(w));
    };
    measure(titles_[c]);
    if (right_[c]) {
      // Numbers stay whole; their title may be wrapped.
      word = 0;
      for (const std::string& w : wrap(titles_[c], 1)) word = std::max(word, text_width(w));
      for (const auto& row : rows_) word = std::max(word, text_width(row[c]));
    } else {
      for (const auto& row : rows_) measure(row[c]);
    }
    least.push_back(std::min(word, widths[i]));
    total += widths[i];
  }
  while (total > kTableWidth) {
    std::size_t widest = shown.size();
    for (std::size_t i = 0; i < shown.size(); ++i)
      if (widths[i] > least[i] && (widest == shown.size() || widths[i] > widths[widest])) widest = i;
    if (widest == shown.size()) return;
    --widths[widest];
    --total;
  }
}

}  // namespace wrackline::text
