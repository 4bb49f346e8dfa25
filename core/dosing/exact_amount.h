// An amount that no rounding has touched: a quotient of whole numbers, in lowest terms.
//
// Doses are quotients (micrograms per kilogram, milligrams per tablet), and a figure that was rounded once
// and then again is a different figure on every path. So they stay quotients until they are measured or
// printed. The unit is named by whoever holds one, at the end of the name: dose_ug, volume_ul.
#pragma once

#include "base/result.h"
#include "base/rounding.h"

namespace wrackline {

// Amounts are never negative here. Within these bounds no sum or product of this module leaves 128 bits; they
// are far beyond any dose, and only a mixed-up unit oversteps them.
inline constexpr Int128 kExactNumeratorMax = Int128(1'000'000'000'000'000) * 1'000'000'000'000'000;  // 10^30
inline constexpr Int128 kExactDivisorMax = 1'000'000'000'000'000'000;                                // 10^18

struct ExactAmount {
  Int128 numerator = 0;
  Int128 divisor = 1;  // > 0

  // In lowest terms, so equal amounts have equal parts.
  friend bool operator==(const ExactAmount& a, const ExactAmount& b) {
    return a.numerator == b.numerator && a.divisor == b.divisor;
  }
  friend bool operator!=(const ExactAmount& a, const ExactAmount& b) { return !(a == b); }
};

// `numerator` / `divisor` in lowest terms. Errors: kInvalid when the amount is negative, the divisor is not
// above 0, or either is beyond the bounds above.
Result<ExactAmount> exact_amount(Int128 numerator, Int128 divisor);

// A whole number of something.
inline ExactAmount whole_amount(std::uint64_t number) { return {static_cast<Int128>(number), 1}; }

// Whether it is within the bounds above; one that was put together by hand may not be.
bool is_usable(const ExactAmount& amount);

}  // namespace wrackline
