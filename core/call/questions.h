// "Really?": what an author is asked before an entry is written, once for every kind and every way to write.
//
// A call that writes is looked at before anything is written: a value beyond the site's limit (SiteLimit) or beyond what is probable
// (model/numbers.h), a time to come, an entry for something that is struck, a dose that its order or another dose speaks against
// (husbandry/dose_questions.h), a change to a day that is closed. If there is something to ask that the call's confirmation does not
// hold yet, the call fails with kUnconfirmed, the questions stand in the failure, and nothing is written. Sent again with them
// confirmed, each record's change carries its own confirmation in the built-in field of that name.
//
// It asks and never forbids: an entry that comes in by an exchange was somebody's word and is not asked
// about. Only call/*.cc include this.
#pragma once

#include <vector>

#include "call/handlers.h"
#include "replica/author.h"

namespace wrackline {

// Puts the confirmation into the fields of those records that were asked about.
Status ask_about_new(Replica& replica, std::vector<NewRecord>& records, const Asking& asking);
Status ask_about_edit(Replica& replica, Edit& edit, const Asking& asking);

}  // namespace wrackline
