// Taking in what another replica has sealed.
//
// A segment is taken whole or not at all: its device is enrolled, it follows on what is held (or overlaps it),
// every change in it can be read, and the seal at its end is that device's over the chain. What the records in
// it say is never a reason to refuse it; people look at that.
#pragma once

#include <functional>
#include <utility>

#include "base/ids.h"
#include "base/result.h"
#include "crypto/signing.h"
#include "store/store.h"
#include "sync/device_registry.h"

namespace wrackline {

struct IncomingSegment {
  LogId log;
  Seq first = 0;
  std::uint32_t count = 0;
  PublicKey device{};
  std::uint32_t codec = 0;
  ByteView body;  // Read during the call only.
  Signature seal{};
};

class Admission {
 public:
  // The caller holds a Write on the store for as long as it admits, and gives it up when a failure of the
  // store (not of the segment) comes back.
  // Of a device that was revoked, nothing new is taken in, unless whoever hands a segment over can say that the hub
  // held it before: the hub itself, or a replica that has the hub's receipt for it. A replica that first hears of
  // both at once, or a hub that came back from a backup, would else never get what was good.
  using Vouches = std::function<bool(LogId log, Seq last)>;
  Admission(Store& store, DeviceRegistry& devices, Vouches vouches = {})
      : store_(store), devices_(devices), vouches_(std::move(vouches)) {}

  // Returns how many changes were new; 0 for a segment that is held already.
  // Errors, the store as before: kUnknownDevice, kRevokedDevice, kLogGap, kFork, kBadSeal, kMalformed,
  // kTooLarge, kUnsupported. kStorage and its kin: give up the Write.
  Result<std::uint32_t> admit(const IncomingSegment& segment);

  // The latest stamp among the changes admitted, for the clock to follow or not.
  Stamp latest_stamp() const { return latest_stamp_; }

 private:
  Store& store_;
  DeviceRegistry& devices_;
  Vouches vouches_;
  Stamp latest_stamp_;
};

// True for failures of this device rather than of what was sent to it.
bool is_own_trouble(ErrorCode code);

}  // namespace wrackline
