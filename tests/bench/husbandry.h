// The questions a keeper's and an officer's screens ask, over a store of a million records.
#pragma once

#include <string>

namespace wrackline::bench {

// Builds a facility of 60 animals in `folder`, prints what each question takes, and which target it met.
void husbandry(const std::string& folder, bool quick);

}  // namespace wrackline::bench
