// This file says what the simulation found wrong: thrown where it is seen, so that a schedule ends there.
#pragma once

#include <string>

#include "base/result.h"

namespace wrackline {

struct Finding {
  std::string what;
};

inline void expect(bool holds, const std::string& otherwise) {
  if (!holds) throw Finding{otherwise};
}

template <typename T>
T need(Result<T> result, const std::string& doing) {
  if (!result) throw Finding{doing + ": " + error_word(result.error().code) + ": " + result.error().message};
  return std::move(*result);
}

inline void need(const Status& status, const std::string& doing) {
  if (!status) throw Finding{doing + ": " + error_word(status.error().code) + ": " + status.error().message};
}

}  // namespace wrackline
