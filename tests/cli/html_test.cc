// Pages to print: nothing that was typed becomes markup, and nothing is loaded from anywhere.
#include "text/html.h"

#include <catch2/catch.hpp>

namespace wrackline::text {
namespace {

using Catch::Contains;

TEST_CASE("typed text never becomes markup", "[html]") {
  CHECK(html_text("<script>alert('x') & \"y\"</script>") ==
        "&lt;script&gt;alert(&#39;x&#39;) &amp; &quot;y&quot;&lt;/script&gt;");
  CHECK(html_text(std::string("a\0b\nc\x7f", 6)) == "a b c ");
  CHECK(html_text("R\xc3\xb8kt \xc2\xb1 5 g") == "R\xc3\xb8kt \xc2\xb1 5 g");
  const std::string bad = "</td><img src=x onerror=y>";
  HtmlPage page(bad, bad, bad);
  page.heading(bad).paragraph(bad).caution(bad).table({bad, ">" + bad}, {{bad, bad}}, true);
  CHECK_THAT(page.str(), !Contains("<img"));
}

TEST_CASE("a page is whole and loads nothing", "[html]") {
  HtmlPage page("Skerry Bay Rescue", "Food for 2026-11-24", "made 2026-11-24 07:00");
  page.heading("Totals").table({"FOOD", ">MASS", "NOTE"}, {{"herring", "1.2 kg"}, {"squid", "300 g", ""}});
  page.table({"FOOD"}, {});
  const std::string text = page.str();
  CHECK(text.substr(0, 15) == "<!DOCTYPE html>");
  CHECK_THAT(text, Contains("size: A4") && Contains("<td class=\"n\">1.2 kg</td>") && Contains("default-src 'none'"));
  CHECK_THAT(text, !Contains("http://") && !Contains("https://") && !Contains("src=") && !Contains("@import") &&
                       !Contains("<link") && !Contains("<script"));
  CHECK_THAT(text, !Contains("NOTE"));  // Empty in every row.
  CHECK(text.find("<table>") == text.rfind("<table>"));
  CHECK(text.substr(text.size() - 8) == "</html>\n");
}

TEST_CASE("every sheet names whose and what it is, whatever the title holds", "[html]") {
  const std::string page = HtmlPage("Skerry Bay", "History of Sila", "").str();
  CHECK_THAT(page, Contains("content: \"Skerry Bay\\2c  History of Sila\"") && Contains("counter(pages)"));
  const std::string bad = HtmlPage("a\"; } </style><b>", "\\\n\x7f\xc3\xb8", "").str();
  CHECK(bad.find("</style>") == bad.rfind("</style>"));
  CHECK_THAT(bad, !Contains("<b>") && Contains("content: \"a\\22 \\3b  \\7d  \\3c \\2f style\\3e \\3c b\\3e \\2c  \\5c \xc3\xb8\""));
}

TEST_CASE("words are broken only where they would push a column off the page", "[html]") {
  const auto cell = [](const std::string& text) { return HtmlPage("", "", "").table({"A"}, {{text}}).str(); };
  CHECK_THAT(cell("Penguin colony 08:30"), Contains("<td>Penguin colony 08:30</td>"));
  CHECK_THAT(cell(std::string(24, 'x')), !Contains("<wbr"));
  CHECK_THAT(cell(std::string(60, 'x')), Contains("<td>" + std::string(24, 'x') + "<wbr/>" + std::string(24, 'x') + "<wbr/>xxxxxxxxxxxx</td>"));
  // Never inside a character, and never inside what stands for one.
  std::string wide;
  for (int i = 0; i < 25; ++i) wide += "\xc3\xb8";
  CHECK_THAT(cell(wide), Contains("\xc3\xb8<wbr/>\xc3\xb8</td>"));
  // A number stays with its unit, a date in one piece.
  CHECK_THAT(cell("given 1.8 kg, at 37.2 \xc2\xb0""C, in 5 %"), Contains("1.8&#160;kg") && Contains("37.2&#160;\xc2\xb0""C") && Contains("5&#160;%"));
  CHECK_THAT(cell("2026-10-31 08:30"), Contains("<td class=\"one\">2026-10-31 08:30</td>"));
  CHECK_THAT(cell("HE-35"), Contains("<td class=\"one\">HE-35</td>"));
  CHECK_THAT(cell(std::string(24, '&') + "&"), Contains("&amp;<wbr/>&amp;</td>"));
}

TEST_CASE("a chart stands before its figures, which begin unfolded so that they are printed", "[html]") {
  const std::string with = HtmlPage("", "", "").chart("<svg></svg>", {"DAY"}, {{"2024-11-24"}}).str();
  CHECK(with.find("<svg></svg>") < with.find("<details open="));
  CHECK(with.find("<details open=") < with.find("2024-11-24"));
  CHECK_THAT(HtmlPage("", "", "").chart("", {"DAY"}, {{"2024-11-24"}}).str(), !Contains("<details") && Contains("2024-11-24"));
}

}  // namespace
}  // namespace wrackline::text
