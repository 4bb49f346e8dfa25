// The part of the log table that knows of branches; see log/branch.h.
#include <algorithm>

#include "base/planted.h"
#include "store/damaged.h"
#include "store/log_table.h"

namespace wrackline {

Result<LogEntry*> LogTable::open_branch(LogId id, const Branch& branch, const Frontier& start, const LogOpening& opening) {
  WRACKLINE_TRY_VALUE(entry, intern(id));
  if (entry->opening) return entry;
  WRACKLINE_TRY(open_behind(*entry, opening, start));
  WRACKLINE_TRY(set_branch_.with(branch.root.value, branch.of.value, view(branch.first), entry->no).run());
  entry->branch = branch;
  has_branches_ = true;
  return entry;
}

std::vector<const LogEntry*> LogTable::sealed_under(LogId root) const {
  std::vector<const LogEntry*> out;
  if (const LogEntry* log = find(root)) out.push_back(log);
  if (!has_branches_) return out;
  for (const auto& [id, log] : logs_) {
    if (log.branch && log.branch->root == root) out.push_back(&log);
  }
  return out;
}

Ancestry LogTable::ancestry(const LogEntry& log) const {
  Ancestry out;
  for (const LogEntry* at = &log; at != nullptr && at->branch; at = find(at->branch->of)) {
    // Ids come from the hub's records; a circle among them must not hang anybody.
    if (out.size() > logs_.size()) break;
    out.emplace_back(at->branch->after, at->id);
  }
  return out;
}

void LogTable::bytes_to_content(const LogEntry& log, Bytes& change) const {
  if (log.branch) rebind(change, log.branch->root, ancestry(log));
}

Result<ByteView> LogTable::content_of(Place place) {
  WRACKLINE_TRY_VALUE(bytes, bytes_of(place));
  if (!has_branches_ || bytes.empty()) return bytes;
  const LogEntry* log = find(id_of(place).log);
  if (log == nullptr || !log->branch) return bytes;
  content_.assign(bytes);
  bytes_to_content(*log, content_);
  return ByteView(content_);
}

Result<std::vector<std::pair<LogId, LogId>>> LogTable::branches_to_move() {
  std::vector<std::pair<LogId, LogId>> out;
  if (!has_branches_) return out;
  for (const auto& [id, log] : logs_) {
    if (!log.branch) continue;
    const Seq after = log.branch->after;
    const LogEntry* parent = find(log.branch->of);
    if (parent == nullptr || !parent->opening || parent->head.seq <= after || parent->base() > after) continue;
    WRACKLINE_TRY_VALUE(there, leaf_at(place_of(parent->no, after + 1)));
    if (there != log.branch->first) continue;
    // Both must be the same as far as both reach; what parts later is a branch of the branch, which the hub will name.
    const Seq common = std::min(parent->head.seq, log.head.seq);
    WRACKLINE_TRY_VALUE(in_parent, tree_at(*parent, common));
    WRACKLINE_TRY_VALUE(in_branch, tree_at(log, common));
    if (in_parent == in_branch) out.emplace_back(parent->id, id);
  }
  return out;
}

Status LogTable::move_to_branch(LogEntry& parent, LogEntry& branch) {
  const Seq after = branch.branch->after, known = branch.head.seq, head = parent.head.seq;
  // The run that holds the first change behind that place may begin before it; what both share stays.
  WRACKLINE_TRY_VALUE(holds_first, run_at_.with(place_of(parent.no, after + 1)).step());
  const Seq begin = holds_first ? seq_of(run_at_.integer(0)) : after + 1;
  run_at_.reset();
  std::vector<StoredRun> runs;
  for (Seq at = begin - 1; at < head;) {
    WRACKLINE_TRY_VALUE(run, run_behind(parent, at));
    if (!run->changes) {
      return fail(ErrorCode::kStorage, "moving a branch: the stored changes are damaged; nothing was changed; see what `verify` says");
    }
    at = run->last();
    runs.push_back(std::move(*run));
  }

  WRACKLINE_TRY_VALUE(walk, walk_at(branch, known));
  for (std::uint32_t block = block_of(after); block <= block_of(head - 1); ++block) {
    WRACKLINE_TRY_VALUE(seed, seed_of(parent, block));
    if (seed) walk.give_seed(block, *seed);
  }
  ChangeRun shared;
  for (const StoredRun& run : runs) {
    ChangeRun own;
    for (std::size_t i = 0; i < run.changes->size(); ++i) {
      const Seq seq = run.first + static_cast<Seq>(i);
      if (seq <= after) shared.append((*run.changes)[i]);
      if (seq <= after || seq <= known) continue;
      if (walk.needs_seed()) return log_is_damaged();
      own.append((*run.changes)[i]);
      walk.step((*run.changes)[i]);
    }
    if (!own.empty()) WRACKLINE_TRY(append(branch, pack_run(own), static_cast<std::uint32_t>(own.size()), walk));
  }
  const std::optional<LogSeal> seal = parent.seal;
  if (seal && parent.sealed > known) WRACKLINE_TRY(set_seal(branch, *seal));

  // The seal that covered all of it covers what stays, too.
  std::optional<LogSeal> of_shared;
  if (seal && after > parent.base()) {
    of_shared = *seal;
    if (parent.sealed > after) {
      WRACKLINE_TRY_VALUE(path, consistency_of(parent, after, parent.sealed));
      WRACKLINE_TRY_VALUE(sealed, tree_at(parent, parent.sealed));
      of_shared->steps.insert(of_shared->steps.begin(), {parent.sealed, sealed.root(), std::move(path)});
    }
  }
  WRACKLINE_TRY_VALUE(tree_before, tree_at(parent, begin - 1));
  WRACKLINE_TRY_VALUE(shared_walk, walk_over(parent, begin - 1));
  for (std::size_t i = 0; i < shared.size(); ++i) shared_walk.step(shared[i]);
  WRACKLINE_TRY(delete_runs_.with(place_of(parent.no, begin), place_of(parent.no, kSeqMax)).run());
  forget_runs(place_of(parent.no, 1), place_of(parent.no, kSeqMax));
  WRACKLINE_TRY(forget_blocks(parent, after));
  parent.tree = tree_before;
  parent.head = {begin - 1, tree_before.root()};
  if (!shared.empty() && !planted("drop-the-shared-run")) {
    (void)shared_walk.take_blocks();  // They are kept already.
    WRACKLINE_TRY(append(parent, pack_run(shared), static_cast<std::uint32_t>(shared.size()), shared_walk));
  }
  if (of_shared && of_shared->steps.size() <= kSealStepsMax) return set_seal(parent, std::move(*of_shared));
  parent.seal.reset();
  parent.sealed = parent.base();
  Statement unsealed(database_, "UPDATE log SET seal=NULL WHERE no=?");
  return unsealed.with(parent.no).run();
}

}  // namespace wrackline
