// The letters of the alphabet made small; everything else stays.
#pragma once

#include <string>
#include <string_view>

namespace wrackline::text {

inline std::string lower_case(std::string_view text) {
  std::string out(text);
  for (char& c : out)
    if (c >= 'A' && c <= 'Z') c = static_cast<char>(c + 32);
  return out;
}

}  // namespace wrackline::text
