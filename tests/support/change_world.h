// Random histories: several devices author births and edits of the same records, sometimes having seen each
// other's changes and sometimes not. For the laws of the merge.
#pragma once

#include <vector>

#include "log/change.h"
#include "state/fold.h"
#include "support/random.h"

namespace wrackline {

// Changes of one record by several logs, with the bytes they are made of.
struct RecordHistory {
  RecordId record;
  std::vector<Bytes> bytes;
  std::vector<ChangeId> ids;
  std::size_t size() const { return ids.size(); }
  // Fold input of the i-th change; borrows from `bytes`.
  FoldInput input(std::size_t i) const;
};

// One birth and up to `edits_max` edits by up to four logs. Each edit replaces the heads of the subset of
// earlier changes its author had seen; fields include numbers no message of ours has.
RecordHistory random_history(Random& random, std::size_t edits_max);

}  // namespace wrackline
