// This file says what is due, in words: shared by the round and the reports.
#pragma once

#include <string>

#include "call.pb.h"
#include "husbandry.pb.h"

namespace wrackline::cli {

// "upcoming", "LATE", "MISSED", "not known here"
const char* state_text(proto::DueState state);
// The word of an enumeration's value, as `field` of `kind` has it: "length straight".
std::string enum_text(const char* kind, const char* field, int number);

}  // namespace wrackline::cli
