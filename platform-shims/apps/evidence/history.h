// The history of the records an evidence file is about, for people: who, when, on which device, from what to
// what.
#pragma once

#include <string>

#include "evidence_check.h"

namespace wrackline::evidence {

// Tells the history in a file that holds. A name with a * stands in the file by its writer's word alone.
std::string history_text(const File& file, const Verdict& verdict);

}  // namespace wrackline::evidence
