// Brings a database of the second form to the third: from logs that were hash chains, sealed run by run and receipted by the
// hub, to logs that are trees (log/merkle_tree.h).
//
// Every change keeps its log, seq and bytes, so all records and projections stay as they are. What was sealed is verified by the
// rules of that form before anything is brought over; those rules stand here alone. The trees need salts that every replica
// makes alike, since each brings its own copy over: they follow from what the replicas of a facility share, and keep nothing
// secret from them (new logs have random ones). A log that was brought over is closed (LogClass::kFormer): its device goes on in
// another, and its seal is made anew by its device for what it wrote, and by the hub for all of them.
#pragma once

#include <vector>

#include "base/ids.h"
#include "base/result.h"
#include "store/sqlite.h"

namespace wrackline {

// Within a transaction. Leaves the receipts in a table of their own (former_receipts()) until they are taken from there.
// Errors: kBadSeal when a log is not what its device sealed; kNotFound when a branch is held without the log it leaves;
// kStorage and its kin. The database then stays as it is.
Status bring_over_former_logs(Database& database);

// The hub's word of when it held a log up to a seq, as that form kept it.
struct FormerReceipt {
  LogId log;
  Seq last = 0;
  WallMs held_ms = 0;
};
// The order is that of their giving, oldest first; none when there is nothing (any more) to be taken over.
Result<std::vector<FormerReceipt>> former_receipts(Database& database);
Status forget_former_receipts(Database& database);

}  // namespace wrackline
