// The wall clock of this machine, as a person may have set it. The core never reads it by itself.
#pragma once

#include "base/ids.h"

namespace wrackline {

// Milliseconds since 1970-01-01 UTC; 0 when the clock stands before that.
WallMs wall_clock_ms();

}  // namespace wrackline
