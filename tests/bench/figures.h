// A figure beside that of plain SQLite, printed; those with a key are kept for the comparison with other libraries.
#pragma once

#include <string>

namespace wrackline::bench {

// `target` is a ratio, 0 for none.
void line(const char* what, double ours, double plain, const char* unit, double target, double ratio, const char* key = nullptr);
// `plain` is 0 where it has no such figure.
void keep_figure(const char* key, double ours, double plain);
// As JSON: {"wrackline": {key: figure, ...}, "sqlite": {...}}.
void write_figures(const std::string& path);

}  // namespace wrackline::bench
