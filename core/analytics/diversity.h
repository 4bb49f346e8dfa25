// How varied something was: enrichment items used, foods eaten, places an animal stayed in.
//
// A kind that was not used counts for nothing, so it does not matter whether it is listed with 0. Absent when
// nothing was counted.
#pragma once

#include <cstdint>
#include <optional>
#include <vector>

namespace wrackline {

// Shannon's H' = -sum p ln p (Shannon 1948), natural logarithm: in nats. 0 = always the same; ln k = k kinds,
// used alike. For base 2 divide by ln 2; figures of different bases do not compare.
std::optional<double> shannon_nats(const std::vector<std::uint64_t>& counts);

// Simpson's 1 - sum p^2: the chance that two uses, drawn with replacement, are of different kinds.
std::optional<double> simpson(const std::vector<std::uint64_t>& counts);

}  // namespace wrackline
