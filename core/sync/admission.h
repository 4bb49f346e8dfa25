// Taking in what another replica has sealed.
//
// A segment is taken whole or not at all: its device is enrolled, it follows on what is held (or overlaps it),
// every change in it can be read, and the seal at its end is that device's over the chain. Where it parts from what is
// held, the hub keeps it as a branch with an id of its own (log/branch.h), held until an officer decides. What the records in
// it say is never a reason to refuse it; people look at that.
#pragma once

#include <memory>
#include <string>

#include "base/ids.h"
#include "base/result.h"
#include "crypto/signing.h"
#include "store/store.h"
#include "sync/device_registry.h"
#include "sync/gatekeeper.h"

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

// Where segments come from: the hub, whose judgement is passed already; somebody else (a bundle, another device); or
// they come to the hub, which judges them.
enum class Source { kFromHub, kFromPeer, kToHub };

class Admission {
 public:
  // The caller holds a Write on the store for as long as it admits, and gives it up when a failure of the
  // store (not of the segment) comes back.
  Admission(Store& store, DeviceRegistry& devices, Source source) : store_(store), devices_(devices), gatekeeper_(store), source_(source) {}

  // Returns how many changes were new; 0 for a segment that is here already. Of a revoked device the hub holds what is
  // new; others take it from the hub only.
  // Errors, the store as before: kUnknownDevice, kRevokedDevice, kLogGap, kFork, kBadSeal, kMalformed,
  // kTooLarge, kUnsupported. kStorage and its kin: give up the Write.
  Result<std::uint32_t> admit(const IncomingSegment& segment);

  // After the hub's own logs have come in: what is here of a log and turns out to be another branch of it goes under that
  // branch's id; and what a key of the hub says that is known only now, or no longer is the hub's, is heeded or not.
  Status move_branches();

  // At the hub: writes what is held into its log. Call it when all has come in.
  Status conclude(HoldWriter& writer) { return gatekeeper_.conclude(writer); }

  // The latest stamp among the changes admitted, for the clock to follow or not.
  Stamp latest_stamp() const { return latest_stamp_; }

 private:
  struct Target {
    const LogEntry* log = nullptr;
    MarkedChain chain;  // Over the segment; at its end, by which its seal was verified.
  };
  Result<Target> find_target(const IncomingSegment& segment, const ChangeRun& run);
  Result<LogEntry*> open_branch(const IncomingSegment& segment, const LogEntry& target, const ChangeRun& run, std::size_t same);
  Status append(const IncomingSegment& segment, const std::shared_ptr<const ChangeRun>& run, std::size_t skip,
                MarkedChain chain, LogEntry& log);
  Status apply(const LogEntry& log, Seq seq, const Change& change, const std::string& revoked_name);

  Store& store_;
  DeviceRegistry& devices_;
  Gatekeeper gatekeeper_;
  Source source_;
  Stamp latest_stamp_;
};

// True for failures of this device rather than of what was sent to it.
bool is_own_trouble(ErrorCode code);

}  // namespace wrackline
