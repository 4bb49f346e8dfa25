// How many logs of which nothing is here the changes of one device may name.
//
// An edit may name a record of a log that has not come yet, so the name of that log is kept, and costs memory and disk for ever. An
// honest device names a few: those of devices that have not exchanged since it met them. One that made up names could have them kept
// without end, so what comes of a device's logs is not taken in while it would name more than kUnknownLogsMost of them at a time. Those
// that have come meanwhile no longer count.
//
// Threads: one at a time. Lifetime: the store outlives it.
#pragma once

#include <optional>
#include <vector>

#include "base/bytes.h"
#include "base/result.h"
#include "crypto/signing.h"
#include "log/change.h"
#include "store/store.h"

namespace wrackline {

inline constexpr std::size_t kUnknownLogsMost = 1024;

class UnknownLogs {
 public:
  explicit UnknownLogs(Store& store) : store_(store) {}

  // Finds what is to be kept about the device when these changes of its log `own` are taken in; none where they name no
  // unknown log.
  // Errors: kTooLarge when they name too many; kStorage and its kin.
  Result<std::optional<Bytes>> look(const PublicKey& device, LogId own, const std::vector<Change>& changes);
  // Within a Write: keeps it.
  Status keep(const PublicKey& device, const Bytes& named);

 private:
  bool is_unknown(LogId log) const;
  Store& store_;
};

}  // namespace wrackline
