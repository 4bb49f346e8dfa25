// Figures in order of time, one place for each day (or session, or sample), with gaps.
//
// A place without a figure is a gap: nobody recorded it. A gap is neither zero nor guessed from its
// neighbours; each computation says in its header what a gap does to it.
#pragma once

#include <cstdint>
#include <optional>
#include <vector>

namespace wrackline {

// Every figure is finite: these come from whole-numbered records.
using Series = std::vector<std::optional<double>>;

// Values in the units of records: milligrams, microlitres, calories.
using WholeSeries = std::vector<std::optional<std::int64_t>>;

struct Point {
  double x = 0;
  double y = 0;
};

// The figures that are there, in order.
inline std::vector<double> known_values(const Series& series) {
  std::vector<double> out;
  for (const std::optional<double>& value : series) {
    if (value) out.push_back(*value);
  }
  return out;
}

// The same with their places, counted from 0, as x: what lies after a gap keeps its distance in time.
inline std::vector<Point> known_points(const Series& series) {
  std::vector<Point> out;
  for (std::size_t place = 0; place < series.size(); ++place) {
    if (series[place]) out.push_back({static_cast<double>(place), *series[place]});
  }
  return out;
}

}  // namespace wrackline
