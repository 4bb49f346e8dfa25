// How sure a share is that was counted: successes of trials, scans with a behaviour of scans that saw the
// animal.
#pragma once

#include <cstdint>
#include <optional>

namespace wrackline {

struct ShareInterval {
  double share = 0;
  double lower = 0;
  double upper = 0;
};

// The quantile of the standard normal for an interval of 95 %, two-sided.
inline constexpr double kZ95 = 1.959963984540054;

// Wilson's score interval (Wilson 1927; Newcombe 1998, method 3), without continuity correction: it stays
// within 0 to 1 and does not shrink to nothing at none or all of a few. `trials` counts what was really seen:
// a scan in which the animal was out of sight is none. Absent when there is no trial or more successes than
// trials.
std::optional<ShareInterval> wilson_interval(std::uint64_t successes, std::uint64_t trials, double z = kZ95);

}  // namespace wrackline
