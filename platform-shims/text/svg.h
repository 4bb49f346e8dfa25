// Charts over days as self-contained SVG text, for pages to print: no script, no style sheet, nothing loaded.
//
// A day without a value is a gap: points are joined only where their days follow each other, and an absent value is
// never drawn as zero. Series differ by dash and by the shape of their marks, so that a black-and-white print and a
// colour-blind reader lose nothing; colour only repeats it.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "base/ids.h"

namespace wrackline::text {

enum class SvgStroke { kNone, kSolid, kDashed, kDotted };
enum class SvgMark { kNone, kDot, kTriangle, kRing };

struct SvgPoint {
  Day day = 0;
  std::int64_t value = 0;
};

struct SvgSeries {
  std::string name;  // In the legend.
  SvgStroke stroke = SvgStroke::kSolid;
  SvgMark mark = SvgMark::kNone;
  bool step = false;             // Holds for the whole day: drawn from one midnight to the next, as a plan is.
  // The points in the order of their days; several of one day are joined to each other.
  std::vector<SvgPoint> points;
};

struct SvgChart {
  std::string title;
  std::string description;  // For who cannot see it: <desc>.
  std::string unit;         // The unit of the vertical axis: "kg".
  int decimals = 0;         // A value of 1 is 10^-decimals of the unit: 6 for milligrams in kg.
  bool from_zero = true;    // The vertical axis begins at 0, or below where values do.
  Day first_day = 0;
  Day last_day = 0;
  std::vector<SvgSeries> series;  // Later ones are drawn over earlier ones. Without points: left out.
};

// Points outside the days are left out; values beyond 10^18 are drawn at that. Empty where no point is left.
std::string svg_text(const SvgChart& chart);

}  // namespace wrackline::text
