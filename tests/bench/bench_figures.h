// A figure beside that of plain SQLite, printed; those with a key are kept for the comparison with other libraries.
#pragma once

#include <string>

namespace wrackline::bench {

// A target is the most that a figure is to be: beside plain SQLite, or by itself. 0: not asked for.
struct Target {
  double ratio = 0;
  double ours = 0;
};
// `plain` and `ratio` are 0 where plain SQLite has nothing like it.
void line(const char* what, double ours, double plain, const char* unit, double ratio, Target target = {}, const char* key = nullptr);
// Writes the figures as JSON: {"wrackline": {key: figure, ...}, "sqlite": {...}}.
void write_figures(const std::string& path);

}  // namespace wrackline::bench
