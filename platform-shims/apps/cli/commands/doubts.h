// This file says what of the review queue touches an animal's intake: a meal told twice counts twice until somebody folds
// it, and a value in disagreement is one of several. Said beside the figures, since they cannot show it.
#pragma once

#include <string>
#include <vector>

#include "cli/hub_access.h"

namespace wrackline::cli {

// One sentence each, without its full stop; empty when nothing of these days waits for the officer. Throws
// Stop.
std::vector<std::string> unsettled_intake_sentences(const RecordRef& animal, Day first_day, Day last_day,
                                                    bool with_mass, const Ask& ask);

}  // namespace wrackline::cli
