// The value of a result that a benchmark cannot go on without.
#pragma once

#include <cstdio>
#include <cstdlib>
#include <utility>

#include "base/result.h"

namespace wrackline::bench {

template <typename T>
T must(Result<T> result) {
  if (!result) {
    std::fprintf(stderr, "bench: %s\n", result.error().message.c_str());
    std::exit(1);
  }
  return std::move(*result);
}

}  // namespace wrackline::bench
