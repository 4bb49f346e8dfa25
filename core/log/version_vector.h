// What a replica holds: for each log, how far, and the chain hash there. Only ever says what is held; it
// never decides what replaces what, and no entry is ever dropped from it.
#pragma once

#include <cstdint>
#include <map>

#include "base/ids.h"

namespace wrackline {

struct VectorPoint {
  Seq seq = 0;
  std::uint64_t head = 0;  // first8(h(seq))
  Seq receipted = 0;       // Up to where receipts of the hub are held.
};

using VersionVector = std::map<LogId, VectorPoint>;

}  // namespace wrackline
