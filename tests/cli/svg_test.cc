// Charts as text: what is not recorded is a gap, numbers carry their unit, and nothing typed becomes markup.
#include "text/svg.h"

#include <catch2/catch.hpp>
#include <limits>

#include "text/local_time.h"

namespace wrackline::text {
namespace {

using Catch::Contains;

SvgChart chart_of(std::vector<SvgSeries> series) {
  SvgChart chart;
  chart.title = "Eaten";
  chart.unit = "kg";
  chart.decimals = 6;
  chart.first_day = *parse_day("2024-05-01");
  chart.last_day = chart.first_day + 5;
  chart.series = std::move(series);
  return chart;
}

std::size_t count(const std::string& text, const std::string& part) {
  std::size_t n = 0;
  for (std::size_t at = text.find(part); at != std::string::npos; at = text.find(part, at + part.size())) ++n;
  return n;
}

// The `d` of the first path.
std::string path(const std::string& svg) {
  const std::size_t from = svg.find(" d=\"") + 4;
  return svg.substr(from, svg.find('"', from) - from);
}

TEST_CASE("a day without a value splits the line and is never drawn as zero", "[svg]") {
  const Day first = *parse_day("2024-05-01");
  const auto line = [&](std::vector<Day> days) {
    SvgSeries s{"eaten", SvgStroke::kSolid, SvgMark::kDot, false, {}};
    for (Day d : days) s.points.push_back({first + d, 2'000'000});
    return svg_text(chart_of({s}));
  };
  const std::string whole = path(line({0, 1, 2, 3, 4, 5}));
  CHECK(count(whole, "M") == 1);
  CHECK(count(whole, "L") == 5);
  const std::string split = path(line({0, 1, 4, 5}));
  CHECK(count(split, "M") == 2);
  CHECK(count(split, "L") == 2);
  CHECK(count(split, " 34") == 4);  // All at the top: 2 kg is the greatest tick. None at the bottom line, 224.
  CHECK(count(split, "224") == 0);
  CHECK(count(path(line({0, 2, 4})), "h0") == 3);  // Points alone are seen.
  CHECK(count(path(line({0, 2, 4})), "L") == 0);
}

TEST_CASE("a plan is drawn in steps and stops where there is none", "[svg]") {
  const Day first = *parse_day("2024-05-01");
  const SvgSeries plan{"plan", SvgStroke::kDashed, SvgMark::kNone, true,
                       {{first, 1'000'000}, {first + 1, 2'000'000}, {first + 3, 2'000'000}}};
  const std::string svg = svg_text(chart_of({plan}));
  CHECK(path(svg) == "M64 129 H168.3 V34 H272.6 M377 34 H481.3");
  CHECK_THAT(svg, Contains("stroke-dasharray"));
}

TEST_CASE("axes have round numbers, the unit and days; marks differ in shape", "[svg]") {
  const Day first = *parse_day("2024-05-01");
  const std::string svg = svg_text(chart_of({{"eaten", SvgStroke::kSolid, SvgMark::kDot, false, {{first, 1'234'567}}},
                                             {"alarm", SvgStroke::kNone, SvgMark::kTriangle, false, {{first, 900'000}}},
                                             {"outlier", SvgStroke::kNone, SvgMark::kRing, false, {{first, 900'000}}}}));
  CHECK_THAT(svg, Contains(">kg</text>") && Contains(">0.5</text>") && Contains(">1</text>") && Contains(">1.5</text>"));
  CHECK_THAT(svg, !Contains(">2</text>"));
  CHECK_THAT(svg, Contains(">05-01</text>") && Contains("day, 2024-05-01 to 2024-05-06"));
  CHECK_THAT(svg, Contains(">alarm</text>") && Contains(" Z\"") && Contains("fill=\"none\" stroke=\"#0059b2\""));
}

TEST_CASE("an axis need not begin at zero, and goes below it for values that do", "[svg]") {
  const Day first = *parse_day("2024-05-01");
  SvgChart mass = chart_of({{"mass", SvgStroke::kNone, SvgMark::kDot, false, {{first, 84'000'000}, {first + 3, 86'000'000}}}});
  mass.from_zero = false;
  CHECK_THAT(svg_text(mass), Contains(">84</text>") && !Contains(">0</text>"));
  CHECK_THAT(svg_text(chart_of({{"eaten", SvgStroke::kSolid, SvgMark::kDot, false, {{first, -1'000'000}}}})),
             Contains(">-1</text>") && Contains(">0</text>"));
}

TEST_CASE("equal values get an axis with room, and a series without a name is not in the legend", "[svg]") {
  const Day first = *parse_day("2024-05-01");
  SvgChart mass = chart_of({{"", SvgStroke::kNone, SvgMark::kDot, false, {{first, 84'000'000}, {first + 3, 84'000'000}}}});
  mass.from_zero = false;
  const std::string svg = svg_text(mass);
  CHECK_THAT(svg, Contains(">83</text>") && Contains(">84</text>") && !Contains("84.000001"));
  CHECK(count(svg, "<circle") == 2);  // The two points, and none in the legend.
}

TEST_CASE("nothing to draw is no chart, and extremes are drawn without harm", "[svg]") {
  const Day first = *parse_day("2024-05-01");
  CHECK(svg_text(chart_of({})).empty());
  CHECK(svg_text(chart_of({{"eaten", SvgStroke::kSolid, SvgMark::kDot, false, {{first - 1, 5}, {first + 6, 5}}}})).empty());
  const std::string svg = svg_text(chart_of({{"x", SvgStroke::kSolid, SvgMark::kDot, false,
                                              {{first, std::numeric_limits<std::int64_t>::max()}, {first + 1, std::numeric_limits<std::int64_t>::min()}}}}));
  CHECK_THAT(svg, Contains("</svg>") && !Contains("nan") && !Contains("inf"));
}

TEST_CASE("typed text in a chart never becomes markup", "[svg]") {
  SvgChart chart = chart_of({{"<b>&", SvgStroke::kSolid, SvgMark::kDot, false, {{*parse_day("2024-05-01"), 5}}}});
  chart.title = chart.description = chart.unit = "<script>\"x\"";
  const std::string svg = svg_text(chart);
  CHECK_THAT(svg, !Contains("<script") && !Contains("<b>") && Contains("&lt;b&gt;&amp;") &&
                      Contains("<desc>&lt;script&gt;&quot;x&quot;</desc>"));
}

}  // namespace
}  // namespace wrackline::text
