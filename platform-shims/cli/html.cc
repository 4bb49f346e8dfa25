#include "html.h"

#include <algorithm>

namespace wrackline::cli {
namespace {

// The policy keeps the page to itself even if a text should ever slip through unescaped.
constexpr char kHead[] =
    "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n"
    "<meta name=\"viewport\" content=\"width=device-width\">\n"
    "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; style-src 'unsafe-inline'\">\n";

constexpr char kStyle[] =
    "<style>\n"
    "@page { size: A4; margin: 14mm 12mm; }\n"
    "body { font: 10.5pt/1.35 system-ui, sans-serif; color: #111; max-width: 186mm; margin: 8mm auto; padding: 0 4mm; }\n"
    "header p { margin: 0; color: #444; }\n"
    "h1 { font-size: 17pt; margin: 0 0 1mm; }\n"
    "h2 { font-size: 12pt; margin: 6mm 0 1.5mm; break-after: avoid; }\n"
    "p { margin: 1.5mm 0; }\n"
    "table { width: 100%; border-collapse: collapse; }\n"
    "thead { display: table-header-group; }\n"
    "tr { break-inside: avoid; }\n"
    "th { text-align: left; font-size: 8.5pt; border-bottom: 0.4mm solid #111; padding: 0.5mm 2mm 0.5mm 0; }\n"
    "td { border-bottom: 0.2mm solid #999; padding: 1mm 2mm 1mm 0; vertical-align: top; overflow-wrap: anywhere; }\n"
    "th.n, td.n { text-align: right; white-space: nowrap; }\n"
    "td.n { font-variant-numeric: tabular-nums; font-weight: 600; }\n"
    "td.tick { width: 6mm; padding-right: 0; }\n"
    "td.tick::before { content: \"\"; display: block; width: 4mm; height: 4mm; border: 0.3mm solid #111; }\n"
    "svg { width: 100%; height: auto; break-inside: avoid; }\n"
    "summary { font-size: 9pt; color: #444; }\n"
    ".caution { border: 0.4mm solid #111; padding: 2mm 3mm; margin: 4mm 0; break-inside: avoid; }\n"
    "@media print { body { margin: 0; padding: 0; max-width: none; } }\n"
    "</style>\n";

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
    : out_(kHead + element("title", title) + kStyle + "</head>\n<body>\n<header>\n" + element("p", above) +
           element("h1", title) + element("p", below) + "</header>\n") {}

HtmlPage& HtmlPage::heading(std::string_view text) {
  out_ += element("h2", text);
  return *this;
}

HtmlPage& HtmlPage::paragraph(std::string_view text) {
  out_ += element("p", text);
  return *this;
}

HtmlPage& HtmlPage::caution(std::string_view text) {
  out_ += element("p", text, " class=\"caution\"");
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
  out_ += "<table>\n<thead><tr>\n";
  if (tick) out_ += "<th></th>\n";
  for (std::size_t c : shown) {
    const bool is_number = *attributes(c) != '\0';
    out_ += element("th", std::string_view(titles[c]).substr(is_number ? 1 : 0), attributes(c));
  }
  out_ += "</tr></thead>\n<tbody>\n";
  for (const std::vector<std::string>& row : rows) {
    out_ += "<tr>\n";
    if (tick) out_ += "<td class=\"tick\"></td>\n";
    for (std::size_t c : shown) out_ += element("td", c < row.size() ? row[c] : std::string_view(), attributes(c));
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
  out_ += "<details open>\n" + element("summary", "The figures");
  table(titles, rows);
  out_ += "</details>\n";
  return *this;
}

std::string HtmlPage::str() const { return out_ + "</body>\n</html>\n"; }

}  // namespace wrackline::cli
