// The one way from a formula's real number back to a whole one.
//
// Formulas of chemistry and metabolism need powers and logarithms, so they are computed in double and only
// there: what goes in and what comes out is a scaled whole number. Two mathematics libraries may differ in
// the last bit of a power; rounded to the unit of a figure, which is coarser by six orders and more, the
// digits come out the same unless the true value lies on the very edge between two of them.
#pragma once

#include <cmath>

#include "base/rounding.h"

namespace wrackline {

// Nearest whole number, halves away from zero, as divide_rounded() does. Nothing when the number is not
// finite or too large for a T: a figure that cannot be said is not said.
template <typename T>
std::optional<T> whole(double number) {
  constexpr double kSafe = 9.0e18;  // Below 2^63, so that the conversion is defined.
  if (!(number > -kSafe && number < kSafe)) return std::nullopt;
  return fit<T>(static_cast<std::int64_t>(std::round(number)));
}

}  // namespace wrackline
