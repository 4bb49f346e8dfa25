// Which changes an outsider must see to check some records: theirs, and those that say who the authors and devices are.
#pragma once

#include <map>
#include <string>
#include <vector>

#include "base/ids.h"
#include "base/result.h"
#include "replica/replica.h"

namespace wrackline {

// Changes of one log, from one that is asked about to the seal that covers it.
struct EvidenceSpan {
  LogId log;
  Seq first = 0;
  Seq last = 0;
};

struct EvidencePlan {
  std::vector<EvidenceSpan> spans;  // The hub's logs first, since they name the devices; within a log by seq.
  // What people call the records that are spoken of, by this replica's word alone.
  std::map<RecordId, std::string> names;
};

// The own log is sealed. `whole`: of the logs that the records' changes stand in, and of the hub's, everything.
// Errors: kNotFound (a record of which nothing is held here), kStorage.
Result<EvidencePlan> plan_evidence(Replica& replica, const std::vector<RecordId>& records, bool whole);

}  // namespace wrackline
