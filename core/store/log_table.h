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
#include "log/change_run.h"
#include "log/leaf.h"
#include "log/marks.h"
#include "log/seal.h"
#include "store/sqlite.h"

namespace wrackline {

// Names a change inside one database (see schema.cc). 0 names none.
using Place = std::int64_t;
using LogNo = std::int64_t;

inline Place place_of(LogNo no, Seq seq) { return no << 24 | seq; }
inline LogNo log_no_of(Place place) { return place >> 24; }
inline Seq seq_of(Place place) { return static_cast<Seq>(place & kSeqMax); }

// How far a log goes: its last seq and the root of its tree there.
struct LogHead {
  Seq seq = 0;
  Hash root{};
};

struct LogEntry {
  LogNo no = 0;
  LogId id;
  std::optional<LogOpening> opening;  // Absent while the log is known by name only.
  LogHead head;
  Frontier tree;   // At the head.
  Seq sealed = 0;  // Up to where the seal shows what is held here to be its device's.
  std::optional<LogSeal> seal;
  // Where what is held begins: empty but for a branch, and for a log of which only the end was fetched.
  Frontier start;
  std::optional<Branch> branch;  // Set for the second branch of a log that was continued twice.

  const PublicKey* device() const { return opening ? &opening->device : nullptr; }
  bool is_of(const PublicKey& key) const { return opening && opening->device == key; }
  bool is_arrivals() const { return opening && opening->log_class == LogClass::kArrivals; }
  // Before its first change here.
  Seq base() const { return static_cast<Seq>(start.size()); }
  // The id its device seals it under.
  LogId sealed_as() const { return branch ? branch->root : id; }
};

// A run as it goes out to another replica. Seeds of all blocks it touches, 16 bytes each.
struct OutgoingRun {
  Seq first = 0;
  std::uint32_t count = 0;
  PackedRun packed;
  Bytes seeds;
  Seq last() const { return first + count - 1; }
};

// Runs that follow on each other, and the seal that shows them to be the log's, by steps from the last of them.
struct OutgoingRuns {
  std::vector<OutgoingRun> runs;
  LogSeal seal;
};

class LogTable {
 public:
  explicit LogTable(Database& database);

  // Reads all heads anew and forgets unpacked runs.
  Status reload();

  // Finds a log by its id. References stay valid until reload().
  const std::map<LogId, LogEntry>& all() const { return logs_; }
  // How many changes the logs have, without the hub's words of when they came.
  std::uint64_t count() const;
  const LogEntry* find(LogId id) const;
  // The id of a place; none for 0.
  ChangeId id_of(Place place) const;
  // The place of an id whose log is known by name; 0 otherwise.
  Place find_place(ChangeId id) const;

  // Gives the log a number if it has none yet.
  Result<LogEntry*> intern(LogId id);
  // The place of an id, naming its log if need be; 0 for no id.
  Result<Place> intern_place(ChangeId id);
  // Says whose log it is; once.
  Status open(LogEntry& log, const LogOpening& opening);
  // The same for a log of which only what follows on `start` will be held.
  Status open_behind(LogEntry& log, const LogOpening& opening, const Frontier& start);

  // Makes the second branch of a log known; nothing of it is held by that. Once.
  Result<LogEntry*> open_branch(LogId id, const Branch& branch, const Frontier& start, const LogOpening& opening);
  bool has_branches() const { return has_branches_; }
  // Logs that segments sealed under this id may belong to: the log itself, and its branches.
  std::vector<const LogEntry*> sealed_under(LogId root) const;
  // Moves what `parent` holds behind the place where the branch begins to the branch. `parent` keeps all before
  // it. Projections must be made anew.
  Status move_to_branch(LogEntry& parent, LogEntry& branch);
  // (log, branch) where what is here of the log behind the place where they part is that branch's.
  Result<std::vector<std::pair<LogId, LogId>>> branches_to_move();

  // A walk that goes on from a seq, base() <= seq <= head, with other changes than those that are held behind it: it has the
  // seed of a block that was begun before.
  Result<TreeWalk> walk_at(const LogEntry& log, Seq seq);
  // The same over those that are held: it has their seeds as well.
  Result<TreeWalk> walk_over(const LogEntry& log, Seq seq);
  // Appends right behind the head: `walk` went on from there over the run's changes and no others.
  Status append(LogEntry& log, const PackedRun& run, std::uint32_t count, TreeWalk& walk);
  // Says what covers all that is held here of a log.
  Status set_seal(LogEntry& log, LogSeal seal);
  // Puts short runs that follow on each other at the end of what is sealed into longer ones. Each change is packed anew a
  // few times over the life of its log, however short the runs are that it comes in.
  Status pack_short_runs(const LogEntry& log);

  // Keeps a run just appended at hand, since its changes are likely to be read next.
  void remember(const LogEntry& log, std::shared_ptr<const ChangeRun> run);

  // Packs what follows the last seal into few rows, and seals the log at its head. `sign` fills in what was seen, and signs.
  using Sign = std::function<Status(const LogEntry&, LogSeal&)>;
  Status seal_tail(LogEntry& log, const Sign& sign);

  // Takes away what follows the last seal, for a log whose key is lost: nobody could ever take it in. Projections must be
  // made anew. Returns how many changes that were.
  Result<std::uint32_t> drop_tail(LogEntry& log);

  // The bytes of a change as its author wrote them, valid until the next call on this table; an empty view when it is
  // not held.
  Result<ByteView> bytes_of(Place place);
  // Answers what bytes_of does, with references read as a change of a branch means them.
  Result<ByteView> content_of(Place place);
  void bytes_to_content(const LogEntry& log, Bytes& change) const;
  // The tree of the first `seq` changes, for base() <= seq <= head. Errors: kNotFound elsewhere.
  Result<Frontier> tree_at(const LogEntry& log, Seq seq);
  // The leaf of a change that is held.
  Result<Hash> leaf_at(Place place);
  // Its mark as stored; empty when there is none.
  Result<Bytes> mark_at(Place place);
  // The check by which other changes name it: the first 4 bytes of its leaf.
  Result<std::uint32_t> check_of(Place place);
  Result<Salt> salt_of(const LogEntry& log, Seq seq);
  // How a change stands in the tree of the first `size` changes, and how a tree is the beginning of a longer one. Errors:
  // kNotFound when so much is not held.
  Result<TreePath> inclusion_of(const LogEntry& log, Seq seq, Seq size);
  Result<TreePath> consistency_of(const LogEntry& log, Seq older, Seq newer);
  // Sealed changes after `after` in runs, oldest first, until `bytes_max` is passed (at least one run), with what shows them
  // to be the log's. No runs when nothing follows, or when what does cannot be shown.
  Result<OutgoingRuns> runs_after(const LogEntry& log, Seq after, std::size_t bytes_max);

  // Calls `visit` with the bytes of every change of the log in order. Stops at its first failure.
  Status for_each(const LogEntry& log, Seq after, const std::function<Status(Seq, ByteView)>& visit);

  // A stored row, for verification: whatever in it can still be read.
  struct StoredRun {
    Seq first = 0;
    std::uint32_t count = 0;
    std::optional<ChangeRun> changes;  // Absent when they cannot be unpacked.
    std::optional<Frontier> tree;      // At its last change, as stored; absent when it is no such tree.
    Bytes marks;
    Seq last() const { return first + count - 1; }
  };
  // The first whole row behind `after`; none behind the head. Errors: kStorage.
  Result<std::optional<StoredRun>> run_behind(const LogEntry& log, Seq after);

  // The seed of a block as stored; none when it is not here.
  Result<std::optional<BlockSeed>> seed_of(const LogEntry& log, std::uint32_t block);
  // The root of a block as stored; none while it is not full, or not here.
  Result<std::optional<Hash>> block_root(const LogEntry& log, std::uint32_t block);

 private:
  struct CachedRun {
    Place last = 0;
    std::shared_ptr<const ChangeRun> run;
    std::uint64_t used = 0;
  };
  Status read_log(Statement& row, LogEntry& log);
  CachedRun& keep_run(Place first, std::shared_ptr<const ChangeRun> run);
  Result<CachedRun*> cached_run(Place place);
  void forget_runs(Place first, Place last);
  Ancestry ancestry(const LogEntry& log) const;
  // The log in which a seq of a branch stands: itself, or one it leaves.
  const LogEntry* holder_of(const LogEntry& log, Seq seq) const;
  Result<Hash> subtree_root(const LogEntry& log, std::uint64_t first, std::uint64_t count);
  Status put_blocks(const LogEntry& log, const std::vector<TreeWalk::Block>& blocks);
  Result<Bytes> seeds_of(const LogEntry& log, Seq first, Seq last);
  Status forget_blocks(const LogEntry& log, Seq kept);

  Database& database_;
  std::map<LogId, LogEntry> logs_;
  std::map<LogNo, LogId> ids_;
  std::map<Place, CachedRun> cache_;  // The key is the first place of a run.
  std::size_t cache_bytes_ = 0;
  std::uint64_t uses_ = 0;
  bool has_branches_ = false;
  Bytes content_;
  // The salts of the block whose leaf was asked for last.
  struct KnownSalts {
    LogNo log = 0;
    std::uint32_t block = 0;
    std::optional<BlockSalts> salts;
  } known_salts_;
  Statement insert_log_, marks_, open_log_, set_branch_, set_start_, set_seal_, insert_segment_, run_at_, runs_after_, delete_runs_, put_block_, block_;
};

}  // namespace wrackline
