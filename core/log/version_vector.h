// A vector tells what a replica holds: for each log, how far, and the root of its tree there. It only ever says what is held; it
// never decides what replaces what, and no entry is ever dropped from it.
#pragma once

#include <cstdint>
#include <map>

#include "base/ids.h"

namespace wrackline {

struct VectorPoint {
  Seq seq = 0;
  std::uint64_t head = 0;  // first 8 bytes of the root of its tree there
};

using VersionVector = std::map<LogId, VectorPoint>;

}  // namespace wrackline
