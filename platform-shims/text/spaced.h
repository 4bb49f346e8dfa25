// Names of fields and values as people read them: "offered mass" for offered_mass.
#pragma once

#include <algorithm>
#include <string>

namespace wrackline::text {

inline std::string spaced(std::string name) {
  std::replace(name.begin(), name.end(), '_', ' ');
  return name;
}

}  // namespace wrackline::text
