#include "dosing/exact_amount.h"

namespace wrackline {

bool is_usable(const ExactAmount& amount) {
  return amount.numerator >= 0 && amount.numerator <= kExactNumeratorMax && amount.divisor > 0 &&
         amount.divisor <= kExactDivisorMax;
}

Result<ExactAmount> exact_amount(Int128 numerator, Int128 divisor) {
  if (numerator < 0 || divisor <= 0) {
    return fail(ErrorCode::kInvalid,
                "computing an amount: it is negative or divided by nothing; check the numbers");
  }
  Int128 a = numerator, b = divisor;
  while (b != 0) {
    const Int128 rest = a % b;
    a = b;
    b = rest;
  }
  const ExactAmount amount{numerator / a, divisor / a};
  if (!is_usable(amount)) {
    return fail(ErrorCode::kInvalid, "computing an amount: it is beyond any dose; check the units");
  }
  return amount;
}

}  // namespace wrackline
