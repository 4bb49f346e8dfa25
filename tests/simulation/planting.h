// Known mistakes in the core (core/base/planted.h), one at a time: each must be found by the simulation, or the
// simulation proves less than it seems to.
#pragma once

#include <string>

namespace wrackline {

// Prints `ok NAME` or `not ok NAME: why` for each mistake, or for `only` one. Not 0 when one was not found, and in a build
// that has none.
int run_planted(const std::string& only);

}  // namespace wrackline
