// Result<T>: a value, or the Error that explains why there is none.
//
// Member names follow C++23 std::expected, so that this can become an alias of it one day. Asking for the
// value of a failure is a mistake in our own code and ends the program in every build.
#pragma once

#include <cstdlib>
#include <optional>
#include <utility>

#include "base/error.h"

namespace wrackline {

// A failure on its way into any Result<T>.
struct Unexpected {
  Error error;
};

inline Unexpected fail(ErrorCode code, std::string message) { return {{code, std::move(message)}}; }
inline Unexpected fail(Error error) { return {std::move(error)}; }

template <typename T>
class [[nodiscard]] Result {
 public:
  Result(T value) : value_(std::move(value)) {}                    // NOLINT: implicit, as in std::expected
  Result(Unexpected failure) : error_(std::move(failure.error)) {}  // NOLINT

  bool has_value() const { return value_.has_value(); }
  explicit operator bool() const { return has_value(); }

  T& value() { return require(), *value_; }
  const T& value() const { return require(), *value_; }
  T& operator*() { return value(); }
  const T& operator*() const { return value(); }
  T* operator->() { return &value(); }
  const T* operator->() const { return &value(); }

  const Error& error() const { return error_; }

 private:
  void require() const {
    if (!value_) std::abort();
  }
  std::optional<T> value_;
  Error error_{ErrorCode::kOk, {}};
};

// Success that has nothing more to say.
template <>
class [[nodiscard]] Result<void> {
 public:
  Result() = default;
  Result(Unexpected failure) : error_(std::move(failure.error)) {}  // NOLINT
  bool has_value() const { return error_.code == ErrorCode::kOk; }
  explicit operator bool() const { return has_value(); }
  const Error& error() const { return error_; }

 private:
  Error error_{ErrorCode::kOk, {}};
};

using Status = Result<void>;

}  // namespace wrackline

// Returns the failure of `expr` from the enclosing function, or goes on.
#define WRACKLINE_TRY(expr)                                         \
  do {                                                              \
    if (auto try_result = (expr); !try_result)                      \
      return ::wrackline::fail(try_result.error());                 \
  } while (false)

// Declares `name` as the value of `expr`, or returns its failure.
#define WRACKLINE_TRY_VALUE(name, expr)                             \
  auto name##_result = (expr);                                      \
  if (!name##_result) return ::wrackline::fail(name##_result.error()); \
  auto& name = *name##_result
