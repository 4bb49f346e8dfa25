// Random records of any kind that the kind's rules accept, drawn by descriptor, so that a field added to
// records.proto is drawn too.
#pragma once

#include <map>
#include <string>
#include <vector>

#include "cli/client.h"
#include "support/random.h"
#include "text/message_schema.h"

namespace wrackline::cli {

// Text that tables find hard: quotes, commas, line ends, formulas, apostrophes, blanks at the ends.
std::string random_text(Random& random);

// Records that references may name, by kind.
using Referable = std::map<std::string, std::vector<RecordRef>>;

// Null when no draw in a thousand was accepted, which a test must not pass over.
MessagePtr random_record(Random& random, const KindInfo& kind, const Referable& referable);

}  // namespace wrackline::cli
