// Taking in what another replica has sealed.
//
// The runs that come of a log are taken whole or not at all: its device is enrolled, they follow on what is held (or overlap it),
// every change in them can be read, and the seal that comes with them is that device's over a tree in which all of them stand
// (log/seal.h). At the hub a device's changes name few logs that have not come (sync/unknown_logs.h). Where they part from what is
// held, the hub keeps them as a branch with an id of its own (log/branch.h), held until an officer decides. No log is refused for what
// its records say of animals and people; people look at that.
#pragma once

#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "base/ids.h"
#include "base/result.h"
#include "crypto/signing.h"
#include "log/change_run.h"
#include "store/store.h"
#include "sync/device_registry.h"
#include "sync/gatekeeper.h"
#include "sync/unknown_logs.h"

namespace wrackline {

struct IncomingRun {
  Seq first = 0;
  std::uint32_t count = 0;
  std::uint32_t codec = 0;
  ByteView body;   // These two are read during the call only.
  ByteView seeds;
};

// Runs of one log that follow on each other.
struct IncomingLog {
  LogId log;
  std::optional<LogOpening> opening;  // May be absent where the log is held already.
  Frontier start;  // Not empty where only the end of the log is sent.
  std::vector<IncomingRun> runs;
  LogSeal seal;
};

// Where logs come from: the hub, whose judgement is passed already; somebody else (a bundle, another device); or
// they come to the hub, which judges them.
enum class Source { kFromHub, kFromPeer, kToHub };

class Admission {
 public:
  // The caller holds a Write on the store for as long as it admits, and gives it up when a failure of the
  // store (not of the segment) comes back.
  Admission(Store& store, DeviceRegistry& devices, Source source) : store_(store), devices_(devices), gatekeeper_(store, devices), unknown_(store), source_(source) {}

  // A run may be run_work_allowed() of its size to unpack, before its seal is looked at.
  //
  // Returns how many changes were new; 0 for what is here already, whoever may seal it now. The hub holds what is new of a
  // revoked device; others take it from the hub, and from anybody what the hub says that it came to hold.
  // Errors, the store as before: kUnknownDevice, kRevokedDevice, kLogGap, kFork, kBadSeal, kMalformed,
  // kTooLarge, kUnsupported. kStorage and its kin: give up the Write.
  Result<std::uint32_t> admit(IncomingLog log);
  // How the log was opened, as it came or as it is known here.
  std::optional<LogOpening> opening_of(const IncomingLog& log) const;

  // After the hub's own logs have come in: what is here of a log and turns out to be another branch of it goes under that
  // branch's id; and what a key of the hub says that is known only now, or no longer is the hub's, is heeded or not.
  Status move_branches();

  // At the hub: judges what came in, and writes what is held into its log. Call it when all has come in.
  Status conclude(HoldWriter& writer) { return gatekeeper_.conclude(writer); }

  // Devices that have seen arrivals at the hub that are not those held here: one of the two was shown another hub's view.
  const std::vector<LogId>& contradictions() const { return contradictions_; }

  // The latest stamp among the changes admitted, for the clock to follow or not.
  Stamp latest_stamp() const { return latest_stamp_; }

 private:
  struct Target;
  Status read_runs(const IncomingLog& log, Target& target);
  Status find_target(const IncomingLog& log, Target& target);
  Result<bool> follows(const IncomingLog& log, const LogEntry* on, Target& target);
  Result<LogEntry*> open_target(const IncomingLog& log, const Target& target);
  Result<LogEntry*> open_branch(const IncomingLog& log, const Target& target, std::size_t same);
  Result<bool> is_told_by_hub(const IncomingLog& log, const Target& target);
  Status append(const IncomingLog& log, const Target& target, std::size_t same, LogEntry& to);
  Status compare_seen(const LogEntry& log);

  Store& store_;
  DeviceRegistry& devices_;
  Gatekeeper gatekeeper_;
  UnknownLogs unknown_;
  Source source_;
  bool has_begun_ = false;
  Stamp latest_stamp_;
  std::vector<LogId> contradictions_;
};

// True for failures of this device rather than of what was sent to it.
bool is_own_trouble(ErrorCode code);

}  // namespace wrackline
