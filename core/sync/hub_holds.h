// Holds that have something back which only the hub may write (model/authority.h), or which changes a record that the hub had not written:
// nobody lets such a hold go, on a device or at the hub. Who may does it anew. Somebody who took an early edit in would have it count,
// unjudged, when the hub writes a record under the id that it guessed.
//
// Threads: one at a time. Lifetime: the store outlives it.
#pragma once

#include <map>

#include "base/bytes.h"
#include "base/ids.h"
#include "base/result.h"
#include "model/authority.h"
#include "store/store.h"

namespace wrackline {

// An edit of a hold after which it may hold something no more. To accept it is to leave out what it holds.
bool decides_on_hold(const Act& act);

class HubHolds {
 public:
  explicit HubHolds(Store& store) : store_(store) {}

  // `is_asked` is whether the facility asks for proofs: a hold that was written for another cause is looked through only then.
  Result<bool> has(RecordId hold, bool is_asked);

 private:
  // Reads the hold's birth, which is the hub's; what was edited later may be a lie of its own.
  Result<Bytes> born_as(RecordId hold);
  Result<bool> is_of_hub(ChangeId change);

  Store& store_;
  std::map<RecordId, bool> known_;
};

}  // namespace wrackline
