// The edge between computing in doubles and showing whole numbers.
//
// Statistics are computed in doubles, whose last bits may differ between one compiler and another; what is
// shown or stored is a scaled whole number, the same on every replica but where a figure lies within those
// last bits of a half.
#pragma once

#include <cmath>
#include <cstdint>
#include <optional>

namespace wrackline {

// value * per_unit, to the nearest whole number, halves away from zero: 0.25 with per_unit 1,000,000 is
// 250000 ppm. Nothing when it is no number or does not fit.
inline std::optional<std::int64_t> to_scaled(double value, std::int64_t per_unit) {
  const double scaled = value * static_cast<double>(per_unit);
  constexpr double kLimit = 9223372036854775808.0;  // 2^63
  if (!(scaled > -kLimit && scaled < kLimit)) return std::nullopt;
  return static_cast<std::int64_t>(std::llround(scaled));
}

}  // namespace wrackline
