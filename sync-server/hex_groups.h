// Keys and hashes as two people compare them, one of whom reads aloud: "3f9a 12bc ...". The tablet shows them in the same
// way (platform-shims/apps/tablet/src/core/bytes.ts).
#pragma once

#include <string>

#include "base/bytes.h"

namespace wrackline {

inline std::string in_groups(ByteView bytes) {
  constexpr std::size_t kGroup = 4;
  std::string digits = to_hex(bytes);
  for (std::size_t at = kGroup; at < digits.size(); at += kGroup + 1) digits.insert(at, 1, ' ');
  return digits;
}

}  // namespace wrackline
