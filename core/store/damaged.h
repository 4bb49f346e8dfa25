// The failure that all parts of the log table report for rows that are not what was stored.
#pragma once

#include "base/result.h"

namespace wrackline {

inline Unexpected log_is_damaged() {
  return fail(ErrorCode::kStorage,
              "reading a log: the stored changes are damaged; nothing was changed; keep a copy of the file and "
              "exchange with the hub from a new replica");
}

}  // namespace wrackline
