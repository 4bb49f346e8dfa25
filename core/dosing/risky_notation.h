// Finds notation in an order's free text that is known to be misread: "10U", "5.0 mg", ".5 mg", "MSO4".
//
// It marks and says what to write; it changes nothing. The list:
//   Joint Commission, official "Do Not Use" list: U, IU, QD, QOD, a trailing zero, no leading zero, MS, MSO4,
//   MgSO4.
//   ISMP list of error-prone abbreviations (from memory): cc, a Greek mu before g, SC, SQ, o.d., qhs, q1d.
//   SID: veterinary, read as BID or QID by others (from memory).
#pragma once

#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

namespace wrackline {

struct RiskyNotation {
  std::size_t begin = 0;  // Byte offset in the text
  std::size_t size = 0;   // Bytes, > 0
  std::string advice;     // "write \"units\""
};

// In the order of the text; empty when there is none. Any bytes may be given.
std::vector<RiskyNotation> find_risky_notation(std::string_view text);

}  // namespace wrackline
