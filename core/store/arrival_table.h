// When the hub came to hold each change, by its logs of arrivals (model/arrival.h). A projection: made from those logs, and
// makeable anew.
#pragma once

#include <optional>
#include <vector>

#include "base/ids.h"
#include "base/result.h"
#include "log/change.h"
#include "model/arrival.h"
#include "store/hub_lineage.h"
#include "store/log_table.h"
#include "store/sqlite.h"

namespace wrackline {

// One entry of a log of arrivals about one log.
struct ArrivalRow {
  Place entry = 0;  // The change in the log of arrivals.
  Place first = 0;
  Place last = 0;
  WallMs held_ms = 0;
};

class ArrivalTable {
 public:
  ArrivalTable(Database& database, LogTable& logs);
  Status clear();
  // Takes in a change of a log of arrivals. Doing it again changes nothing.
  Status take(Place entry, const Change& change);
  // The earliest entry in a log of `hub` that covers this change; none when no such entry is held here.
  Result<std::optional<ArrivalRow>> covering(Place change, const HubLineage& hub);
  // Up to where the logs of `hub` have told of a log.
  Result<Seq> told_of(const LogEntry& log, const HubLineage& hub);
  // Whether a log of `hub` says that the first `last` changes of the log were held, with this root of their tree, and nothing is
  // missing here of the hub's other logs as far as the same log had told of them by then. What it says of those after it was put
  // back is for ever missing, and no reason against what it said before.
  Result<bool> tells(const LogEntry& log, Seq last, const Hash& root, const HubLineage& hub);
  // Whether an entry about the log tells of another branch of it: the hub spoke before it knew of the two.
  Result<bool> is_of_another_branch(const LogEntry& log, const ArrivalRow& row);
  // All entries about a log that reach behind `after`, those of nobody's hub too, by where they end.
  Result<std::vector<ArrivalRow>> about(const LogEntry& log, Seq after);

 private:
  // The logs of arrivals that are held.
  std::vector<LogNo> arrival_logs() const;
  bool is_word_of(const HubLineage& hub, Place entry) const;
  // Whether the log of `entry` has told, by that entry, of more in the logs of `hub` than is here.
  Result<bool> is_missing_of_hub(const HubLineage& hub, Place entry);
  LogTable& logs_;
  Database& database_;
  Statement insert_, from_, back_;
};

}  // namespace wrackline
