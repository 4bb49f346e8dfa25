// This table knows which changes are held: kept and forwarded, but out of account as if they had not arrived.
//
// A hold is a record of kind `hold` in a log of the hub; while it is in account it names a range of changes. Officers
// decide on holds by edits, and an edit may be held itself. So that it is always plain what is held, whatever holds and
// edits there are and in whatever order they came, two rules end every circle:
//
//   - What the hub itself says is never held.
//   - An edit of a hold is held only by a hold that is later, by (stamp, id), than the one it edits. The hub holds what
//     has come to it, so a hold of an edit of another hold is always the later one.
//
// The latest hold is then decided by edits that nothing can hold, the one before it by edits that only the latest can hold,
// and so on: there is one answer, and it depends on the changes alone.
//
// A projection, like the keys: made from those records, and makeable anew. Holds are rare, so all of them are at hand in
// memory, with the edits of them.
#pragma once

#include <functional>
#include <map>
#include <vector>

#include "base/ids.h"
#include "base/result.h"
#include "log/hybrid_clock.h"
#include "store/log_table.h"
#include "store/sqlite.h"

namespace wrackline {

struct HeldRange {
  Place first = 0;  // 0: none.
  Place last = 0;
  bool has(Place place) const { return first != 0 && first <= place && place <= last; }
  friend bool operator==(const HeldRange& a, const HeldRange& b) { return a.first == b.first && a.last == b.last; }
};

// Tells the later of two holds.
struct HoldOrder {
  Stamp stamp;  // The stamp of the birth.
  ChangeId id;
  friend bool operator<(const HoldOrder& a, const HoldOrder& b) { return a.stamp == b.stamp ? a.id < b.id : a.stamp < b.stamp; }
};

class HoldTable {
 public:
  // `is_of_hub` tells whether a change is the hub's own word. `logs` outlives the table.
  HoldTable(Database& database, const LogTable& logs, std::function<bool(Place)> is_of_hub);
  Status reload();
  Status clear();

  bool is_held(Place change) const;
  // All that is named, as ranges apart from each other, ascending; what the two rules leave in account is in them too. A
  // range may reach beyond what has arrived.
  const std::vector<HeldRange>& ranges() const { return merged_; }
  // The range a hold names for now; null when it names none.
  const HeldRange* find(Place hold) const;

  // Makes a hold known, once; it names nothing yet.
  Status add(Place hold, Stamp stamp);
  bool knows(Place hold) const { return holds_.count(hold) != 0; }
  // `hold` is known.
  HoldOrder order_of(Place hold) const;
  // Says that a change edits a known hold.
  void add_edit(Place edit, Place hold) { hold_of_edit_[edit] = hold; }
  // From now on the known hold names this range and no other.
  Status put(Place hold, const HeldRange& range);

 private:
  struct Hold {
    Stamp stamp;
    HeldRange range;
  };
  void merge();
  Statement put_;
  Database& database_;
  const LogTable& logs_;
  std::function<bool(Place)> is_of_hub_;
  std::map<Place, Hold> holds_;
  std::map<Place, Place> hold_of_edit_;
  std::vector<HeldRange> merged_;  // Sorted, apart from each other.
};

}  // namespace wrackline
