// The part of the log table that knows of branches; see log/branch.h.
#include <algorithm>

#include "store/log_table.h"

namespace wrackline {

Result<LogEntry*> LogTable::open_branch(LogId id, const Branch& branch, const PublicKey& device) {
  WRACKLINE_TRY_VALUE(entry, intern(id));
  if (entry->device) return entry;
  WRACKLINE_TRY(set_branch_
                    .with(view(device), branch.root.value, branch.of.value, branch.after, view(branch.base),
                          view(branch.first), entry->no)
                    .run());
  entry->device = device;
  entry->branch = branch;
  entry->head = {branch.after, branch.base};
  entry->sealed = branch.after;
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
    const LogEntry* parent = find(log.branch->of);
    if (parent == nullptr || !parent->device || parent->head.seq <= log.branch->after || parent->base() > log.branch->after) continue;
    WRACKLINE_TRY_VALUE(there, chain_at(*parent, log.branch->after + 1));
    if (there != log.branch->first) continue;
    // As far as both reach they must be the same; what parts later is a branch of the branch, which the hub will name.
    const Seq common = std::min(parent->head.seq, log.head.seq);
    WRACKLINE_TRY_VALUE(in_parent, chain_at(*parent, common));
    WRACKLINE_TRY_VALUE(in_branch, chain_at(log, common));
    if (in_parent == in_branch) out.emplace_back(parent->id, id);
  }
  return out;
}

Status LogTable::move_to_branch(LogEntry& parent, LogEntry& branch) {
  const Seq after = branch.branch->after, known = branch.head.seq;
  std::vector<StoredRun> runs;
  // The run that holds the first change behind that place may begin before it: sealed in one when the log had not parted
  // yet where it was written last.
  WRACKLINE_TRY_VALUE(holds_first, run_at_.with(place_of(parent.no, after + 1)).step());
  const Seq begin = holds_first ? seq_of(run_at_.integer(0)) : after + 1;
  run_at_.reset();
  for (Seq at = begin - 1; at < parent.head.seq;) {
    WRACKLINE_TRY_VALUE(run, run_behind(parent, at));
    if (!run->changes) {
      return fail(ErrorCode::kStorage, "moving a branch: the stored changes are damaged; nothing was changed; see what `verify` says");
    }
    at = run->last();
    runs.push_back(std::move(*run));
  }
  const Seq kept = runs.front().first - 1;
  WRACKLINE_TRY_VALUE(chain, chain_at(parent, kept));
  const Place low = place_of(parent.no, kept + 1), high = place_of(parent.no, kSeqMax);
  WRACKLINE_TRY(delete_tail_.with(low, high).run());
  Statement receipts(database_, "DELETE FROM receipt WHERE place>=? AND place<=?");
  WRACKLINE_TRY(receipts.with(low, high).run());
  forget_runs(place_of(parent.no, 1), high);
  parent.head = {kept, chain};
  parent.sealed = std::min(parent.sealed, kept);
  parent.receipted = std::min(parent.receipted, kept);
  for (const StoredRun& run : runs) {
    ChangeRun own;
    MarkedChain marked{branch.head.hash, {}};
    for (std::size_t i = 0; i < run.changes->size(); ++i) {
      if (run.first + i <= known) continue;
      own.append((*run.changes)[i]);
      marked.step((*run.changes)[i]);
    }
    if (own.empty()) continue;
    const auto count = static_cast<std::uint32_t>(own.size());
    WRACKLINE_TRY(run.is_sealed ? append(branch, pack_run(own), count, marked, run.seal)
                                : append_unsealed(branch, pack_run_plain(own), count, marked.chain));
  }
  return {};
}

}  // namespace wrackline
