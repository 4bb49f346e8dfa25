// Computed figures as tables and sentences show them: rounded, since they are read and not computed with.
// --json is exact.
#pragma once

#include <cstdint>
#include <string>

namespace wrackline::text {

// Half away from zero, to a multiple of `step`.
std::int64_t rounded(std::int64_t value, std::int64_t step);

std::string mass_figure(std::int64_t mg);      // To the gram: "1.235 kg".
std::string percent_figure(std::int64_t ppm);  // To a tenth of a per cent: "81.3 %".
// "71.2 to 88.4 %", from parts per million.
std::string interval_figure(std::int64_t low_ppm, std::int64_t high_ppm);

// Puts the result of a Mann-Kendall test into words: "rising (z 2.31)", "falling (z -2.31)" or "not clear (z
// 0.4)".
std::string trend_words(std::int64_t z_thousandths);

}  // namespace wrackline::text
