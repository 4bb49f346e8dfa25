#include "text/html.h"

#include <algorithm>

#include "base/digits.h"

namespace wrackline::text {
namespace {

// The policy keeps the page to itself even if a text should ever slip through unescaped.
constexpr char kHead[] =
    "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\"/>\n"
    "<meta name=\"viewport\" content=\"width=device-width\"/>\n"
    "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; style-src 'unsafe-inline'\"/>\n";

constexpr char kStyle[] =
    "@page { size: A4; margin: 14mm 12mm 16mm; }\n"
    "body { font: 10.5pt/1.35 system-ui, sans-serif; color: #111; max-width: 186mm; margin: 8mm auto; padding: 0 4mm; }\n"
    "header p { margin: 0; color: #444; }\n"
    "h1 { font-size: 17pt; margin: 0 0 1mm; }\n"
    "h2 { font-size: 12pt; margin: 6mm 0 1.5mm; break-after: avoid; }\n"
    "p { margin: 1.5mm 0; break-after: avoid; break-inside: avoid; }\n"
    "table { width: 100%; border-collapse: collapse; font-size: 9.5pt; }\n"
    "table.sheet { font-size: 10.5pt; }\n"
    "thead { display: table-header-group; }\n"
    "tr { break-inside: avoid; }\n"
    "th { text-align: left; vertical-align: bottom; font-size: 8pt; border-bottom: 0.4mm solid #111; padding: 0.5mm 2.5mm 0.5mm 0; }\n"
    "td { border-bottom: 0.2mm solid #999; padding: 0.6mm 2.5mm 0.6mm 0; vertical-align: top; }\n"
    "th.n, td.n { text-align: right; }\n"
    "td.n { font-variant-numeric: tabular-nums; white-space: nowrap; }\n"
    "td.one { white-space: nowrap; }\n"
    "th:last-child, td:last-child { padding-right: 0; }\n"
    "table.sheet td { padding-top: 1mm; padding-bottom: 1mm; }\n"
    "table.sheet td.n { font-weight: 600; }\n"
    "td.tick { width: 6mm; padding-right: 0; }\n"
    "td.tick::before { content: \"\"; display: block; width: 4mm; height: 4mm; border: 0.3mm solid #111; }\n"
    "svg { display: block; width: 100%; height: auto; break-inside: avoid; break-after: avoid; }\n"
    "summary { font-size: 9pt; color: #444; break-after: avoid; }\n"
    ".caution { border: 0.3mm solid #111; padding: 2mm 3mm; margin: 4mm 0.3mm; break-after: auto; }\n"
    "@media print { body { margin: 0; padding: 0; max-width: none; } summary { display: none; } }\n";

// A word longer than this may be broken, so that it cannot push a column off the page.
constexpr std::size_t kLongestWord = 24;

// Text between quotes in a style sheet: letters, digits, spaces and what is not ASCII stand, all else is escaped, so
// that it can end neither the string nor the element.
std::string css_string(std::string_view text) {
  constexpr char kHex[] = "0123456789abcdef";
  std::string out = "\"";
  for (const char c : text) {
    const auto byte = static_cast<unsigned char>(c);
    const bool plain = byte >= 0x80 || c == ' ' || (c >= '0' && c <= '9') || (c >= 'A' && c <= 'Z') || (c >= 'a' && c <= 'z');
    if (plain) {
      out += c;
    } else if (byte >= 0x20 && byte != 0x7f) {
      out += std::string("\\") + kHex[byte / 16] + kHex[byte % 16] + " ";
    }
  }
  return out + "\"";
}

// On every sheet, since sheets part: whose it is, of what, and which one of how many.
std::string style_of(std::string_view above, std::string_view title) {
  return std::string("<style>\n") + kStyle + "@page { @bottom-left { content: " +
         css_string(std::string(above) + ", " + std::string(title)) +
         "; font: 8pt system-ui, sans-serif; color: #444; }\n@bottom-right { content: \"page \" counter(page) \" of \" "
         "counter(pages); font: 8pt system-ui, sans-serif; color: #444; } }\n</style>\n";
}

bool is_letter(char c) { return (c >= 'A' && c <= 'Z') || (c >= 'a' && c <= 'z') || static_cast<unsigned char>(c) >= 0x80; }

// html_text() in lines: a number is not parted from its unit, and words too long for a column may be broken.
std::string flowing_text(std::string_view text) {
  std::string out;
  std::size_t from = 0;
  std::size_t in_word = 0;
  const auto put = [&](std::size_t to, std::size_t next, const char* mark) {
    out += html_text(text.substr(from, to - from)) + mark;
    from = next;
  };
  for (std::size_t i = 0; i < text.size(); ++i) {
    const bool begins = (static_cast<unsigned char>(text[i]) & 0xc0) != 0x80;  // A character, not the rest of one.
    if (text[i] == ' ') {
      in_word = 0;
      if (i > 0 && i + 1 < text.size() && is_digit(text[i - 1]) && (is_letter(text[i + 1]) || text[i + 1] == '%')) put(i, i + 1, "&#160;");
    } else if (begins && in_word++ == kLongestWord) {
      put(i, i, "<wbr/>");
      in_word = 1;
    }
  }
  return out + html_text(text.substr(from));
}

// Dates, times, codes and other short cells, which a line end would make hard to read.
bool stays_in_one_line(std::string_view text) {
  if (text.size() <= 10) return true;
  if (text.size() <= 16 && text.find(' ') == std::string_view::npos) return true;
  return text.size() <= kLongestWord && std::none_of(text.begin(), text.end(), is_letter);
}

std::string element(const char* tag, std::string_view text, const char* attributes = "") {
  return std::string("<") + tag + attributes + ">" + html_text(text) + "</" + tag + ">\n";
}

}  // namespace

std::string html_text(std::string_view text) {
  std::string out;
  out.reserve(text.size());
  for (const char c : text) {
    switch (c) {
      case '&':
        out += "&amp;";
        break;
      case '<':
        out += "&lt;";
        break;
      case '>':
        out += "&gt;";
        break;
      case '"':
        out += "&quot;";
        break;
      case '\'':
        out += "&#39;";
        break;
      default:
        out += static_cast<unsigned char>(c) < 0x20 || c == 0x7f ? ' ' : c;
    }
  }
  return out;
}

HtmlPage::HtmlPage(std::string_view above, std::string_view title, std::string_view below)
    : out_(kHead + element("title", title) + style_of(above, title) + "</head>\n<body>\n<header>\n" + element("p", above) +
           element("h1", title) + element("p", below) + "</header>\n") {}

HtmlPage& HtmlPage::heading(std::string_view text) {
  out_ += element("h2", text);
  return *this;
}

HtmlPage& HtmlPage::paragraph(std::string_view text) {
  out_ += "<p>" + flowing_text(text) + "</p>\n";
  return *this;
}

HtmlPage& HtmlPage::caution(std::string_view text) {
  out_ += "<p class=\"caution\">" + flowing_text(text) + "</p>\n";
  return *this;
}

HtmlPage& HtmlPage::table(const std::vector<std::string>& titles, const std::vector<std::vector<std::string>>& rows,
                          bool tick) {
  if (rows.empty()) return *this;
  std::vector<std::size_t> shown;
  for (std::size_t c = 0; c < titles.size(); ++c) {
    if (std::any_of(rows.begin(), rows.end(), [&](const auto& row) { return c < row.size() && !row[c].empty(); }))
      shown.push_back(c);
  }
  const auto attributes = [&](std::size_t c) { return titles[c].substr(0, 1) == ">" ? " class=\"n\"" : ""; };
  out_ += tick ? "<table class=\"sheet\">\n<thead><tr>\n" : "<table>\n<thead><tr>\n";
  if (tick) out_ += "<th></th>\n";
  for (std::size_t c : shown) {
    const bool is_number = *attributes(c) != '\0';
    out_ += element("th", std::string_view(titles[c]).substr(is_number ? 1 : 0), attributes(c));
  }
  out_ += "</tr></thead>\n<tbody>\n";
  for (const std::vector<std::string>& row : rows) {
    out_ += "<tr>\n";
    if (tick) out_ += "<td class=\"tick\"></td>\n";
    for (std::size_t c : shown) {
      const std::string_view cell = c < row.size() ? row[c] : std::string_view();
      const bool is_number = *attributes(c) != '\0';
      out_ += std::string("<td") + (is_number ? attributes(c) : stays_in_one_line(cell) && !cell.empty() ? " class=\"one\"" : "") + ">" +
              (is_number ? html_text(cell) : flowing_text(cell)) + "</td>\n";
    }
    out_ += "</tr>\n";
  }
  out_ += "</tbody>\n</table>\n";
  return *this;
}

HtmlPage& HtmlPage::chart(const std::string& svg, const std::vector<std::string>& titles,
                          const std::vector<std::vector<std::string>>& rows) {
  if (svg.empty()) return table(titles, rows);
  out_ += svg;
  if (rows.empty()) return *this;
  out_ += "<details open=\"open\">\n" + element("summary", "The figures");
  table(titles, rows);
  out_ += "</details>\n";
  return *this;
}

std::string HtmlPage::str() const { return out_ + "</body>\n</html>\n"; }

}  // namespace wrackline::text
