// Which changes are held: kept and forwarded, but out of account as if they had not arrived.
//
// One range for each record of kind `hold` in account in a log of the hub. A projection, like the keys: made from
// those records, and makeable anew. Holds are rare, so all of them are at hand in memory.
#pragma once

#include <map>
#include <vector>

#include "base/ids.h"
#include "base/result.h"
#include "store/log_table.h"
#include "store/sqlite.h"

namespace wrackline {

struct HeldRange {
  Place first = 0;
  Place last = 0;
  friend bool operator==(const HeldRange& a, const HeldRange& b) { return a.first == b.first && a.last == b.last; }
};

class HoldTable {
 public:
  explicit HoldTable(Database& database);
  Status reload();
  Status clear();

  bool is_held(Place change) const;
  // All that is held, as ranges apart from each other, ascending. A range may reach beyond what has arrived.
  const std::vector<HeldRange>& ranges() const { return merged_; }
  // The range a hold record stands for now, or none.
  const HeldRange* find(Place hold) const;
  Status put(Place hold, const HeldRange& range);
  Status erase(Place hold);

  // Held from now on although the record that says so is still to be written, in the same transaction.
  void expect(Place change);
  void stop_expecting();

 private:
  void merge();
  Statement put_, erase_;
  Database& database_;
  std::map<Place, HeldRange> by_hold_;
  std::vector<Place> expected_;
  std::vector<HeldRange> merged_;  // Sorted, apart from each other.
};

}  // namespace wrackline
