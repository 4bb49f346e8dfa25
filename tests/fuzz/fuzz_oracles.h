// This file says what must hold of a replica after bytes from outside, whichever way they came.
#pragma once

#include <functional>

#include "fuzz_world.h"
#include "target.h"

namespace wrackline::fuzz {

// An error left everything as it was, in memory and in the file.
void insist_untouched(Replica& replica, Role role, const std::string& doing);

// Nothing held before is gone or another; and where something came in: the replica is whole, also from its file.
// Spoils the role then. Returns whether anything came in.
bool insist_sound(Replica& replica, Role role, const std::string& doing);

// The same of a replica that was like `before`, whoever looks after it.
void insist_whole(Replica& replica, const Standing& before, const std::string& doing);

// The log is here as its device wrote it, to its end.
void insist_holds_all_of(Replica& replica, LogId log, const std::string& doing);

}  // namespace wrackline::fuzz
