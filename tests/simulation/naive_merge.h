// The merge once more, as plainly as it can be said, to hold the core's against.
//
// Works on the set of all changes and on nothing else: no tables, no order of arrival, no code of core/state. Slow, and
// short enough to be believed. A Heads names for each record and field the values that nobody replaced.
#pragma once

#include <map>
#include <set>
#include <vector>

#include "base/bytes.h"
#include "base/ids.h"

namespace wrackline {

// A change as its bytes say, read by the generated messages.
struct PlainChange {
  ChangeId id;
  LogId root;     // Under which its device sealed it: its own log, or the one that its branch leaves.
  std::uint32_t check = 0;  // First 4 bytes of its leaf.
  Bytes content;  // The same, references to a branch's own changes read as meant.
  bool is_of_hub = false;
};

struct PlainField {
  std::map<ChangeId, Bytes> values;  // All that were ever given; empty = made absent.
  std::set<ChangeId> heads;
  std::set<ChangeId> disagreement;   // The changes that disagree; empty when none do.
  Bytes shown;
};

struct PlainRecord {
  std::uint32_t kind = 0;
  bool is_edited = false;
  std::map<std::uint32_t, PlainField> fields;
  Bytes merged() const;
};

// A change held for an officer counts as not there, by the hub's own hold records.
std::map<RecordId, PlainRecord> merge_plainly(const std::vector<PlainChange>& changes);
// The changes that are held for an officer.
std::set<ChangeId> held_plainly(const std::vector<PlainChange>& changes);

}  // namespace wrackline
