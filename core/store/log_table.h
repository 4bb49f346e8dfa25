// The truth: all logs this replica holds, as runs of changes in the bytes of their authors.
//
// Keeps the head of each log in memory and recently read runs unpacked. Both are only caches: refresh() throws
// them away when another process has written or a transaction was rolled back.
#pragma once

#include <cstdint>
#include <functional>
#include <map>
#include <memory>
#include <optional>
#include <vector>

#include "base/ids.h"
#include "base/result.h"
#include "crypto/signing.h"
#include "log/branch.h"
#include "log/chain.h"
#include "log/change_run.h"
#include "log/marks.h"
#include "store/sqlite.h"

namespace wrackline {

// Names a change inside one database (see schema.cc). 0 names none.
using Place = std::int64_t;
using LogNo = std::int64_t;

inline Place place_of(LogNo no, Seq seq) { return no << 24 | seq; }
inline LogNo log_no_of(Place place) { return place >> 24; }
inline Seq seq_of(Place place) { return static_cast<Seq>(place & kSeqMax); }

struct LogEntry {
  LogNo no = 0;
  LogId id;
  std::optional<PublicKey> device;  // Absent while the log is known by name only.
  LogHead head;
  Seq sealed = 0;
  Seq receipted = 0;
  std::optional<Branch> branch;  // Of the second branch of a log that was continued twice.

  // Before its first change.
  Seq base() const { return branch ? branch->after : 0; }
  // The id its device seals it under.
  LogId sealed_as() const { return branch ? branch->root : id; }
};

// A stored run as it goes out to another replica.
struct SealedRun {
  Seq first = 0;
  std::uint32_t count = 0;
  std::uint32_t codec = 0;
  Bytes body;
  Signature seal{};
  Seq last() const { return first + count - 1; }
};

class LogTable {
 public:
  LogTable(Database& database, const FacilityId& facility);

  // Reads all heads anew and forgets unpacked runs.
  Status reload();

  // By log id. References stay valid until reload().
  const std::map<LogId, LogEntry>& all() const { return logs_; }
  const LogEntry* find(LogId id) const;
  // The id of a place; none for 0.
  ChangeId id_of(Place place) const;
  // The place of an id whose log is known by name; 0 otherwise.
  Place find_place(ChangeId id) const;

  // Gives the log a number if it has none yet.
  Result<LogEntry*> intern(LogId id);
  // The place of an id, naming its log if need be; 0 for no id.
  Result<Place> intern_place(ChangeId id);
  // Says whose log it is; once. The chain starts from this key.
  Status set_device(LogEntry& log, const PublicKey& device);

  // Makes the second branch of a log known; nothing of it is held by that. Once.
  Result<LogEntry*> open_branch(LogId id, const Branch& branch, const PublicKey& device);
  // Logs that segments sealed under this id may belong to: the log itself, and its branches.
  std::vector<const LogEntry*> sealed_under(LogId root) const;
  // What `parent` holds behind the place where the branch begins is the branch: moves it there. `parent` keeps whole
  // runs before it; the few changes up to that place come back from the hub. Projections must be made anew.
  Status move_to_branch(LogEntry& parent, LogEntry& branch);
  // (log, branch) where what is here of the log behind the place where they part is that branch's.
  Result<std::vector<std::pair<LogId, LogId>>> branches_to_move();

  // Appends right behind the head a run that is still to be sealed. `chain` is the hash at its last change.
  Status append_unsealed(LogEntry& log, const PackedRun& run, std::uint32_t count, const Hash& chain);
  // The same with its seal. `chain` went over the run's changes and no others.
  Status append(LogEntry& log, const PackedRun& run, std::uint32_t count, const MarkedChain& chain, const Signature& seal);

  // Keeps a run just appended at hand, since its changes are likely to be read next.
  void remember(const LogEntry& log, std::shared_ptr<const ChangeRun> run);

  // Packs what follows the last seal into few rows, each ended by a seal that `sign` makes of (last, chain).
  using Sign = std::function<Result<Signature>(ChangeId last, const Hash& chain)>;
  Status seal_tail(LogEntry& log, const Sign& sign);

  // Takes away what follows the last seal, for a log whose key is lost: nobody could ever take it in. Projections must be
  // made anew. Returns how many changes that were.
  Result<std::uint32_t> drop_tail(LogEntry& log);

  // The bytes of a change as its author wrote them, valid until the next call on this table; an empty view when it is
  // not held.
  Result<ByteView> bytes_of(Place place);
  // As bytes_of, with references read as a change of a branch means them.
  Result<ByteView> content_of(Place place);
  void bytes_to_content(const LogEntry& log, Bytes& change) const;
  // The chain hash h(seq), for 0 <= seq <= head. Errors: kNotFound beyond it.
  Result<Hash> chain_at(const LogEntry& log, Seq seq);
  // Sealed runs that hold changes after `after`, oldest first, until `bytes_max` is passed (at least one run).
  // The first may begin at or before `after`; a receiver skips what it has.
  Result<std::vector<SealedRun>> runs_after(const LogEntry& log, Seq after, std::size_t bytes_max);

  // Calls `visit` with the bytes of every change of the log in order. Stops at its first failure.
  Status for_each(const LogEntry& log, Seq after, const std::function<Status(Seq, ByteView)>& visit);

  // A stored row, for verification: whatever in it can still be read.
  struct StoredRun {
    Seq first = 0;
    std::uint32_t count = 0;
    std::optional<ChangeRun> changes;  // Absent when they cannot be unpacked.
    Hash chain{};                      // At its last change, as stored; zeros when it has not the size of a hash.
    bool is_sealed = false;
    Signature seal{};  // Zeros, which hold nowhere, when it has not the size of a signature.
    Bytes marks;       // Empty when none are kept.
    Seq last() const { return first + count - 1; }
  };
  // The first whole row behind `after`; none behind the head. Errors: kStorage.
  Result<std::optional<StoredRun>> run_behind(const LogEntry& log, Seq after);

 private:
  // Runs insert_segment_, which is bound.
  Status insert_run(LogEntry& log, std::uint32_t count, const Hash& chain);
  struct CachedRun {
    Place last = 0;
    std::shared_ptr<const ChangeRun> run;
    std::uint64_t used = 0;
  };
  CachedRun& keep_run(Place first, std::shared_ptr<const ChangeRun> run);
  Result<CachedRun*> cached_run(Place place);
  void forget_runs(Place first, Place last);
  Ancestry ancestry(const LogEntry& log) const;

  Database& database_;
  FacilityId facility_;
  std::map<LogId, LogEntry> logs_;
  std::map<LogNo, LogId> ids_;
  std::map<Place, CachedRun> cache_;  // By first place.
  std::size_t cache_bytes_ = 0;
  std::uint64_t uses_ = 0;
  bool has_branches_ = false;
  Bytes content_;
  Statement insert_log_, set_device_, set_branch_, insert_segment_, run_at_, runs_after_, delete_tail_;
};

}  // namespace wrackline
