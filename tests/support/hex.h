// Bytes as standards print them.
#pragma once

#include <cstdlib>
#include <string_view>

#include "base/bytes.h"

namespace wrackline {

// The bytes of lower-case hexadecimal digits. A mistake in a test's own text ends the test program.
inline Bytes from_hex(std::string_view digits) {
  const auto value = [](char c) {
    if (c >= '0' && c <= '9') return c - '0';
    if (c >= 'a' && c <= 'f') return c - 'a' + 10;
    std::abort();
  };
  if (digits.size() % 2 != 0) std::abort();
  Bytes out;
  for (std::size_t i = 0; i < digits.size(); i += 2) {
    out.push_back(static_cast<char>(value(digits[i]) * 16 + value(digits[i + 1])));
  }
  return out;
}

}  // namespace wrackline
