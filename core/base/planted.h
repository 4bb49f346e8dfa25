// Known mistakes, put into the core on purpose, to see whether the simulation finds them (tests/simulation).
//
// Only a build with -DWRACKLINE_PLANT=ON has them, and then one at a time, chosen by name when it runs. In every other
// build planted() is false when it is compiled, so that nothing of a mistake is in the program.
#pragma once

#include <string_view>

namespace wrackline {

#ifdef WRACKLINE_PLANT
inline std::string_view planted_mistake;  // None when empty. The name outlives its use.
inline bool planted_was_met = false;       // Whether the program has come to where it is.
inline bool planted(std::string_view mistake) {
  planted_was_met = planted_was_met || planted_mistake == mistake;
  return planted_mistake == mistake;
}
#else
constexpr bool planted(std::string_view) { return false; }
#endif

}  // namespace wrackline
