// The classes of logs: which records are born in a log.
#pragma once

#include <cstdint>

namespace wrackline {

// A hint for who needs which logs, which its seal fixes; it never decides what a record means.
enum class LogClass : std::uint8_t {
  kMixed = 0,     // Records of any class, by devices that do not tell them apart. This release writes none.
  kRoster = 1,    // People, devices, pools, animals, foods, plans, orders, limits, holds.
  kCare = 2,      // Measures, doses, observations, sessions and whatever else is seen or done, but for what follows.
  kBulk = 3,      // Meals, portions and readings of water, by far the most.
  kStores = 4,    // Lots, movements of stock, thawing.
  kArrivals = 5,  // When the hub came to hold what; of the hub alone.
  kFormer = 255,  // Brought over from an earlier form (store/former_logs.h); closed.
};

}  // namespace wrackline
