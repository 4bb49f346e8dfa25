// A log that was not taken in while the rest was.
#pragma once

#include "base/ids.h"
#include "base/result.h"

namespace wrackline {

struct RefusedLog {
  LogId log;
  Seq seq = 0;  // The seq of the first change that was not kept; 0 when none is meant.
  Error error;
};

}  // namespace wrackline
