// This file finds the changes that an outsider must see to check some records: theirs, and those that say who the
// authors and devices are.
#pragma once

#include <map>
#include <string>
#include <vector>

#include "base/ids.h"
#include "base/result.h"
#include "replica/replica.h"

namespace wrackline {

// The part of one log that goes into the file.
struct EvidenceOfLog {
  LogId log;
  std::vector<Seq> shown;     // Changes with their content, ascending.
  std::vector<Seq> withheld;  // Changes without theirs, ascending; empty when it is whole.
  bool is_whole = false;      // All others too, without theirs.
  std::vector<Seq> reaches;  // Sizes at which an entry in a log of arrivals speaks of the log.
};

struct EvidencePlan {
  std::vector<EvidenceOfLog> logs;  // The hub's first, since they name the devices.
  // How people call the records that are spoken of and are not in the file themselves, by this replica's word alone.
  std::map<RecordId, std::string> names;
};

// The own log is sealed. `whole`: of the logs that the records' changes stand in, and of the hub's, every change; of those
// that are not asked about without their content.
// Errors: kNotFound (a record of which nothing is held here), kStorage.
Result<EvidencePlan> plan_evidence(Replica& replica, const std::vector<RecordId>& records, bool whole);

}  // namespace wrackline
