// "1 log", "2 logs": a number with what it counts, for sentences.
#pragma once

#include <cstdint>
#include <string>

namespace wrackline {

inline std::string counted(std::uint64_t number, const std::string& thing) {
  return std::to_string(number) + " " + thing + (number == 1 ? "" : "s");
}

}  // namespace wrackline
