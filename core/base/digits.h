// Decimal digits of ASCII, without the locale that <cctype> asks.
#pragma once

namespace wrackline {

constexpr bool is_digit(char c) { return c >= '0' && c <= '9'; }

}  // namespace wrackline
