// Whether a replica is whole, in words.
#pragma once

#include <set>
#include <string>

#include "replica/replica.h"

namespace wrackline {

// Empty when every change can be read, every chain and seal holds and the projections are those a rebuild gives; otherwise
// the first thing that is not so. Faults that are excused (proto::Fault) are passed over.
std::string find_unsound(Replica& replica, const std::set<int>& excused = {});

}  // namespace wrackline
