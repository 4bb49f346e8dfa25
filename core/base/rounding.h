// Whole-number arithmetic that gives the same digits on every replica, however large the numbers.
#pragma once

#include <cstdint>
#include <limits>
#include <optional>

namespace wrackline {

// Wide enough for any sum of 64-bit masses times a 32-bit figure. Not ISO C++; every compiler we use has it.
__extension__ typedef __int128 Int128;

// Nearest whole number; halves go away from zero, so that a loss rounds as a gain does. `divisor` > 0.
constexpr Int128 divide_rounded(Int128 dividend, Int128 divisor) {
  const Int128 half = divisor / 2;
  if (dividend < 0) return -((-dividend + half) / divisor);
  return (dividend + half) / divisor;
}

// The number as a T, or nothing when it is too large for one. Never the nearest T: a figure that cannot be
// said is not said.
template <typename T>
constexpr std::optional<T> fit(Int128 number) {
  if (number < static_cast<Int128>(std::numeric_limits<T>::min()) ||
      number > static_cast<Int128>(std::numeric_limits<T>::max())) {
    return std::nullopt;
  }
  return static_cast<T>(number);
}

// Parts per million in one whole.
inline constexpr std::uint32_t kPpm = 1'000'000;

// How much `part` is of `whole`, in parts per million, rounded as above; 4 % is 40000. Nothing when `whole`
// is not above 0, or the answer is too large.
constexpr std::optional<std::int32_t> ratio_ppm(Int128 part, Int128 whole) {
  if (whole <= 0) return std::nullopt;
  return fit<std::int32_t>(divide_rounded(part * kPpm, whole));
}

}  // namespace wrackline
