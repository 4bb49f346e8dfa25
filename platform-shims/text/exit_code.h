// How the program ends, and the one way a command is cut short.
//
// The command line is the outermost layer: whatever goes wrong ends the command, with a sentence for the
// person and a number for the program that called. So commands throw Stop and main() alone catches it; the
// pieces below them (units, times, CSV) return Result like the core does.
#pragma once

#include <string>
#include <utility>

#include "base/error.h"
#include "base/result.h"

namespace wrackline::text {

// Stable: documented in README.md and in `wrack --help`, relied on by scripts.
enum class Exit {
  kOk = 0,
  kFailed = 1,    // Could not be done, for a reason not named below.
  kUsage = 2,     // The command line itself: unknown word, a value that cannot be read.
  kNotFound = 3,  // No such record, or several that fit.
  kRefused = 4,   // Understood and refused by a rule: invalid, in disagreement, not confirmed, not allowed.
  kStorage = 5,   // This device's disk, database or key.
  kNetwork = 6,   // The network, TLS, or a hub that is not ready.
  kReview = 7,    // `review --check`, `attention --check`: there is something to look at.
};

struct Stop {
  Exit exit;
  std::string message;
  std::string word;  // For --json: the error word of the core, or one of the words below.
};

inline Stop usage(std::string message) { return {Exit::kUsage, std::move(message), "usage"}; }
inline Stop not_found(std::string message) { return {Exit::kNotFound, std::move(message), "not_found"}; }
inline Stop ambiguous(std::string message) { return {Exit::kNotFound, std::move(message), "ambiguous"}; }
inline Stop refused(std::string message) { return {Exit::kRefused, std::move(message), "refused"}; }

// The exit code for a failure the core or the native layer reports. Numbers of a newer core count as kFailed.
Exit exit_of(ErrorCode code);
Stop stop_of(const Error& error);

// The value, or Stop.
template <typename T>
T take(Result<T> result) {
  if (!result) throw stop_of(result.error());
  return std::move(*result);
}
inline void take(Status status) {
  if (!status) throw stop_of(status.error());
}
// For what was typed: a value that cannot be read is a fault of the command line, not of a rule.
template <typename T>
T typed(Result<T> result) {
  if (!result) throw usage(result.error().message);
  return std::move(*result);
}

}  // namespace wrackline::text
