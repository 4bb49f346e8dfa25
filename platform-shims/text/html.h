// Pages to print: one self-contained HTML file on A4, readable in any browser, that loads nothing from anywhere. It is
// well-formed XML too, so that programs can read it.
#pragma once

#include <string>
#include <string_view>
#include <vector>

namespace wrackline::text {

// Text as it stands between tags and in quoted attributes. Control characters become spaces.
std::string html_text(std::string_view text);

class HtmlPage {
 public:
  // `above` is a line over the title, such as the facility's name; `below` one under it, such as when and by what the
  // page was made.
  HtmlPage(std::string_view above, std::string_view title, std::string_view below);

  HtmlPage& heading(std::string_view text);
  HtmlPage& paragraph(std::string_view text);
  // Framed, so that it is seen.
  HtmlPage& caution(std::string_view text);
  // Adds a table in the way of Table: a title that begins with '>' is for a column of numbers, and columns that are
  // empty in every row are left out. `tick` adds a column of empty boxes for a pen. A table of no rows is left out.
  HtmlPage& table(const std::vector<std::string>& titles, const std::vector<std::vector<std::string>>& rows,
                  bool tick = false);

  // A chart by svg_text(), with the figures behind it in a table that a reader may fold away. It begins open, since
  // browsers do not print what is folded. Without a chart, only the table.
  HtmlPage& chart(const std::string& svg, const std::vector<std::string>& titles,
                  const std::vector<std::vector<std::string>>& rows);

  // The finished page.
  std::string str() const;

 private:
  std::string out_;
};

}  // namespace wrackline::text
