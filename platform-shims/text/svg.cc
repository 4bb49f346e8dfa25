#include "text/svg.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "text/decimal.h"
#include "text/html.h"
#include "text/local_time.h"
#include "text/table.h"

namespace wrackline::text {
namespace {

// Tenths of a pixel, so that coordinates are whole numbers here and the text is the same everywhere.
constexpr std::int64_t kWidth = 7000;
constexpr std::int64_t kLeft = 640, kRight = kWidth - 100;
constexpr std::int64_t kTop = 340, kBottom = 2240;
constexpr std::int64_t kLegend = kBottom + 580, kLegendLine = 190;
constexpr std::int64_t kMark = 38;  // Half of a mark's width.
constexpr int kMostDayLabels = 8;
constexpr int kMostTicks = 6;
// No mass or count comes near; it keeps the axis within 64 bits whatever was recorded.
constexpr std::int64_t kMostValue = 1'000'000'000'000'000'000;

constexpr char kInk[] = "#111";

struct Look {
  const char* colour;
  const char* dash;
};
Look look_of(SvgStroke stroke) {
  switch (stroke) {
    case SvgStroke::kDashed:
      return {"#0059b2", " stroke-dasharray=\"9 4\""};
    case SvgStroke::kDotted:
      return {"#555", " stroke-dasharray=\"2 4\""};
    default:
      return {kInk, ""};
  }
}

std::string at(std::int64_t tenths) { return print_decimal(tenths, 1); }

std::string words(std::int64_t x, std::int64_t y, const char* anchor, std::string_view text, const char* more = "") {
  return "<text x=\"" + at(x) + "\" y=\"" + at(y) + "\" text-anchor=\"" + anchor + "\"" + more + ">" + html_text(text) +
         "</text>\n";
}

std::string line(std::int64_t x1, std::int64_t y1, std::int64_t x2, std::int64_t y2, const char* colour) {
  return "<line x1=\"" + at(x1) + "\" y1=\"" + at(y1) + "\" x2=\"" + at(x2) + "\" y2=\"" + at(y2) + "\" stroke=\"" +
         colour + "\"/>\n";
}

std::string mark_text(SvgMark mark, std::int64_t x, std::int64_t y) {
  const std::string centre = "cx=\"" + at(x) + "\" cy=\"" + at(y) + "\"";
  switch (mark) {
    case SvgMark::kDot:
      return "<circle " + centre + " r=\"2.6\" fill=\"#111\"/>\n";
    case SvgMark::kRing:
      return "<circle " + centre + " r=\"6\" fill=\"none\" stroke=\"#0059b2\" stroke-width=\"1.8\"/>\n";
    case SvgMark::kTriangle:
      return "<path d=\"M" + at(x) + " " + at(y - kMark - 25) + " L" + at(x + kMark + 15) + " " + at(y + kMark) + " L" +
             at(x - kMark - 15) + " " + at(y + kMark) + " Z\" fill=\"#b34700\" stroke=\"#111\"/>\n";
    default:
      return {};
  }
}

// Where a day and a value lie. Doubles, since values may be as far apart as 64 bits allow.
struct Frame {
  Day first = 0;
  std::int64_t days = 1;
  double low = 0, high = 1;

  std::int64_t edge(std::int64_t day_index) const { return kLeft + (kRight - kLeft) * day_index / days; }
  std::int64_t middle(Day day) const { return (edge(day - first) + edge(day - first + 1)) / 2; }
  std::int64_t height(double value) const {
    return kBottom - std::llround((value - low) / (high - low) * static_cast<double>(kBottom - kTop));
  }
};

// 1, 2 or 5 times a power of ten, so that at most kMostTicks steps span the range.
std::int64_t tick_step(double range) {
  std::int64_t power = 1;
  while (power < 100'000'000'000'000'000 && range / (static_cast<double>(power) * 10) > kMostTicks) power *= 10;
  for (std::int64_t times : {1, 2, 5})
    if (range / static_cast<double>(power * times) <= kMostTicks) return power * times;
  return power * 10;
}

std::string path_text(const SvgSeries& series, const Frame& frame) {
  std::string d;
  const SvgPoint* before = nullptr;
  for (const SvgPoint& p : series.points) {
    const bool joined = before != nullptr && p.day - before->day <= 1;
    const std::string y = at(frame.height(static_cast<double>(p.value)));
    if (series.step) {
      d += (joined ? " V" + y : (d.empty() ? "M" : " M") + at(frame.edge(p.day - frame.first)) + " " + y) + " H" +
           at(frame.edge(p.day - frame.first + 1));
    } else {
      d += (d.empty() ? "M" : joined ? " L" : " M") + at(frame.middle(p.day)) + " " + y;
      // A point alone between two gaps: a line of no length, which the round ends make visible.
      if (!joined) d += " h0";
    }
    before = &p;
  }
  const Look look = look_of(series.stroke);
  return "<path d=\"" + d + "\" fill=\"none\" stroke=\"" + look.colour + "\" stroke-width=\"1.8\" stroke-linecap=\"round\"" +
         look.dash + "/>\n";
}

std::string axes(const SvgChart& chart, const Frame& frame, std::int64_t step) {
  std::string out;
  for (auto v = static_cast<std::int64_t>(frame.low);; v += step) {
    const std::int64_t y = frame.height(static_cast<double>(v));
    out += line(kLeft, y, kRight, y, v == 0 ? kInk : "#ccc") + words(kLeft - 60, y + 40, "end", print_decimal(v, chart.decimals));
    if (static_cast<double>(v) + static_cast<double>(step) > frame.high + 0.5) break;
  }
  out += line(kLeft, kTop, kLeft, kBottom, kInk) + line(kLeft, kBottom, kRight, kBottom, kInk);
  out += words(100, kTop - 90, "start", chart.unit);
  const std::int64_t apart = (frame.days + kMostDayLabels - 1) / kMostDayLabels;
  for (std::int64_t i = 0; i < frame.days; i += apart) {
    const auto day = static_cast<Day>(frame.first + i);
    const std::int64_t x = frame.middle(day);
    out += line(x, kBottom, x, kBottom + 50, kInk) + words(x, kBottom + 170, "middle", print_day(day).substr(5));
  }
  return out + words((kLeft + kRight) / 2, kBottom + 350, "middle",
                     "day, " + print_day(chart.first_day) + " to " + print_day(chart.last_day));
}

struct Legend {
  std::string text;
  std::int64_t bottom = 0;
};
Legend legend(const std::vector<SvgSeries>& series) {
  std::string out;
  std::int64_t x = kLeft, y = kLegend;
  for (const SvgSeries& s : series) {
    if (s.name.empty()) continue;
    const std::int64_t wide = 500 + static_cast<std::int64_t>(text_width(s.name)) * 62;
    if (x > kLeft && x + wide > kRight) {
      x = kLeft;
      y += kLegendLine;
    }
    if (s.stroke != SvgStroke::kNone) {
      const Look look = look_of(s.stroke);
      out += "<path d=\"M" + at(x) + " " + at(y) + " h30\" fill=\"none\" stroke=\"" + look.colour + "\" stroke-width=\"1.8\"" +
             look.dash + "/>\n";
    }
    out += mark_text(s.mark, x + 150, y) + words(x + 360, y + 40, "start", s.name);
    x += wide;
  }
  return {out, y + 120};
}

}  // namespace

std::string svg_text(const SvgChart& chart) {
  std::vector<SvgSeries> series;
  double least = chart.from_zero ? 0 : std::numeric_limits<double>::max();
  double most = chart.from_zero ? 0 : std::numeric_limits<double>::lowest();
  for (SvgSeries s : chart.series) {
    s.points.erase(std::remove_if(s.points.begin(), s.points.end(),
                                  [&](const SvgPoint& p) { return p.day < chart.first_day || p.day > chart.last_day; }),
                   s.points.end());
    if (s.points.empty()) continue;
    for (SvgPoint& p : s.points) {
      p.value = std::clamp(p.value, -kMostValue, kMostValue);
      least = std::min(least, static_cast<double>(p.value));
      most = std::max(most, static_cast<double>(p.value));
    }
    series.push_back(std::move(s));
  }
  if (series.empty()) return {};
  // Values that are all but equal are not blown up to fill the height.
  const double room = std::max(std::abs(most), std::abs(least)) / 50;
  if (most - least < room) {
    const double middle = (most + least) / 2;
    least = middle - room;
    most = middle + room;
  }
  const std::int64_t step = tick_step(std::max(most - least, 1.0));
  Frame frame;
  frame.first = chart.first_day;
  frame.days = static_cast<std::int64_t>(chart.last_day) - chart.first_day + 1;
  frame.low = std::floor(least / static_cast<double>(step)) * static_cast<double>(step);
  frame.high = std::max(std::ceil(most / static_cast<double>(step)) * static_cast<double>(step), frame.low + static_cast<double>(step));
  std::string lines, marks;
  for (const SvgSeries& s : series) {
    if (s.stroke != SvgStroke::kNone) lines += path_text(s, frame);
    for (const SvgPoint& p : s.points) marks += mark_text(s.mark, frame.middle(p.day), frame.height(static_cast<double>(p.value)));
  }
  const Legend names = legend(series);
  return "<svg xmlns=\"http://www.w3.org/2000/svg\" role=\"img\" viewBox=\"0 0 " + at(kWidth) + " " + at(names.bottom) +
         "\" font-family=\"system-ui, sans-serif\" font-size=\"11\" fill=\"#111\">\n<title>" + html_text(chart.title) +
         "</title>\n<desc>" + html_text(chart.description) + "</desc>\n" +
         words(kLeft, 120, "start", chart.title, " font-size=\"13\" font-weight=\"600\"") + axes(chart, frame, step) + lines +
         marks + names.text + "</svg>\n";
}

}  // namespace wrackline::text
