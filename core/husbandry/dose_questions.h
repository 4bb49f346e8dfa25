// The guard of doses, asked of an entry as it is to be written: what speaks against it becomes questions, so that no app writes a
// dose too many, or ten times too much, without somebody's yes.
//
// A check before (DoseCheckCall) finds the same and reckons the dose; only here the amount is known.
#pragma once

#include <records.pb.h>

#include <vector>

#include "base/result.h"
#include "replica/replica.h"

namespace wrackline {

// The questions for a new entry, each with the rule QUESTION_RULE_DOSE; none when its order is not held here, or when the entry says
// itself what its author was asked (Administration.confirmed). Errors: of the store.
Result<std::vector<proto::Question>> dose_questions(Replica& replica, const proto::Administration& dose);

}  // namespace wrackline
