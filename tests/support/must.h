// Results that must have gone well for a test to go on, and the code of one that must not.
#pragma once

#include <catch2/catch.hpp>
#include <utility>

#include "base/result.h"

namespace wrackline {

// The value, or the end of the test with the error's own words.
template <typename T>
T must(Result<T> result) {
  if (!result) FAIL(error_word(result.error().code) << ": " << result.error().message);
  return std::move(*result);
}

inline void must(const Status& status) {
  if (!status) FAIL(error_word(status.error().code) << ": " << status.error().message);
}

// The code of a failure, or kOk.
template <typename T>
ErrorCode code_of(const Result<T>& result) {
  return result ? ErrorCode::kOk : result.error().code;
}

}  // namespace wrackline
