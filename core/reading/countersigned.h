// Whether what a record says in somebody's name (model/countersigning.h) is their own word, or asked of them.
#pragma once

#include "base/result.h"
#include "replica/replica.h"
#include "state/fold.h"
#include "store/store.h"

namespace wrackline {

enum class Word {
  kNobodys,  // Nobody is named.
  kTheirs,   // Whoever is named has written it themselves.
  kAsked,    // Somebody else has named them: it is not confirmed.
};

// The answer for a record by its history.
Word word_in(const Folded& history);
Result<Word> word_of(Replica& replica, Place record);

}  // namespace wrackline
