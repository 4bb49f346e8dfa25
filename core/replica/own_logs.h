// The logs that this device or hub writes, one for each class of records (LogClass), and whether it may go on in them.
//
// A log is opened by the first write that needs it. All are left together: when the fence shows that the database was put back
// or copied, when one of them turns out to be continued elsewhere, and when the caller says so. The next writes then open
// others, since somebody may know those that were left further than this database does.
//
// Threads: one at a time. Lifetime: all that it is given outlives it.
#pragma once

#include <cstdint>
#include <functional>
#include <map>
#include <optional>

#include "base/ids.h"
#include "base/result.h"
#include "crypto/signing.h"
#include "log/seal.h"
#include "replica/fence.h"
#include "store/store.h"

namespace wrackline {

// Nonces of new logs and seeds of salts: as many random bytes as are asked for.
using RandomSource = std::function<Result<Bytes>(std::size_t)>;

class OwnLogs {
 public:
  // Without a fence (null) a database that was put back is told only by the hub.
  OwnLogs(Store& store, const Keystore& keystore, Fence* fence, const RandomSource& random)
      : store_(store), keystore_(keystore), fence_(fence), random_(random) {}

  // Finds them by what stands in the database and at the fence, and writes nothing. Errors: kStorage.
  Status find();

  // Within a Write: the log of this class by what stands in the database now, whoever has written there meanwhile; opened when
  // there is none. The pointer is good until logs are loaded anew. Errors: kKeystore when the records have gone on under another key.
  Result<LogEntry*> open(LogClass log_class);

  // Within a Write: goes on in others.
  Status leave();

  // None until the first write of that class.
  LogId of(LogClass log_class) const;
  bool has(LogId log) const;
  // The last change of each; seq 0 where nothing is written in it.
  std::map<LogClass, ChangeId> heads() const;

  // Whether the fence showed at the last find() that others may know them further.
  bool were_put_back() const { return were_put_back_; }
  // Notes which of them was written last; after the commit raise_fence() tells the fence how far that has gone.
  void note_written(LogId log) { written_ = log; }
  void raise_fence();

 private:
  Result<bool> is_behind_fence(const std::optional<FencePoint>& point);
  Result<LogEntry*> begin(LogClass log_class);

  Store& store_;
  const Keystore& keystore_;
  Fence* fence_;
  const RandomSource& random_;
  std::map<LogClass, LogId> logs_;
  LogId written_;  // The log that was written to and that the fence has not heard of.
  bool were_put_back_ = false;
  bool lacks_fence_mark_ = false;  // The database does not say yet that there is a fence.
};

}  // namespace wrackline
