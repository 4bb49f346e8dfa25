// The part of the log table that knows logs as trees; see log/merkle_tree.h and log/leaf.h.
#include <algorithm>

#include "store/damaged.h"
#include "store/log_table.h"

namespace wrackline {
namespace {

// A stored run at least this long goes out as it is; shorter ones are put together first.
constexpr std::uint32_t kLongRun = kRunChangesWanted / 2;
// About what a run takes in a message beside its body.
constexpr std::size_t kRunOverhead = 64;

Seq first_of_block(std::uint32_t block) { return static_cast<Seq>(block * kBlockLeaves + 1); }

Unexpected not_held() { return fail(ErrorCode::kNotFound, "reading a log: what was asked for is not held here; nothing was changed"); }

}  // namespace

const LogEntry* LogTable::holder_of(const LogEntry& log, Seq seq) const {
  const LogEntry* at = &log;
  // The records of the hub say which log a branch leaves; a circle among them must not hang anybody.
  for (std::size_t steps = 0; at != nullptr && at->branch && seq <= at->base(); ++steps) {
    if (steps > logs_.size()) return nullptr;
    at = find(at->branch->of);
  }
  return at;
}

Status LogTable::put_blocks(const LogEntry& log, const std::vector<TreeWalk::Block>& blocks) {
  for (const TreeWalk::Block& block : blocks) {
    put_block_.with(place_of(log.no, first_of_block(block.number)), view(block.seed));
    if (block.root) {
      put_block_.bind(3, view(*block.root));
    } else {
      put_block_.bind(3, nullptr);
    }
    WRACKLINE_TRY(put_block_.run());
  }
  return {};
}

Status LogTable::forget_blocks(const LogEntry& log, Seq kept) {
  known_salts_ = {};
  Statement behind(database_, "DELETE FROM block WHERE first>? AND first<=?");
  WRACKLINE_TRY(behind.with(place_of(log.no, kept), place_of(log.no, kSeqMax)).run());
  if (kept % kBlockLeaves == 0) return {};
  Statement open(database_, "UPDATE block SET root=NULL WHERE first=?");
  return open.with(place_of(log.no, first_of_block(block_of(kept - 1)))).run();
}

Result<std::optional<BlockSeed>> LogTable::seed_of(const LogEntry& log, std::uint32_t block) {
  std::optional<BlockSeed> out;
  WRACKLINE_TRY_VALUE(row, block_.with(place_of(log.no, first_of_block(block))).step());
  BlockSeed seed{};
  if (row && copy_exactly(block_.blob(0), seed)) out = seed;
  block_.reset();
  if (out || !log.branch) return out;
  const LogEntry* parent = find(log.branch->of);
  return parent == nullptr || parent->no == log.no || block_of(log.base()) < block ? Result<std::optional<BlockSeed>>(out) : seed_of(*parent, block);
}

Result<std::optional<Hash>> LogTable::block_root(const LogEntry& log, std::uint32_t block) {
  std::optional<Hash> out;
  WRACKLINE_TRY_VALUE(row, block_.with(place_of(log.no, first_of_block(block))).step());
  Hash root{};
  if (row && copy_exactly(block_.blob(1), root)) out = root;
  block_.reset();
  return out;
}

Result<TreeWalk> LogTable::walk_at(const LogEntry& log, Seq seq) {
  WRACKLINE_TRY_VALUE(tree, tree_at(log, seq));
  TreeWalk walk(std::move(tree));
  if (seq % kBlockLeaves == 0) return walk;
  WRACKLINE_TRY_VALUE(seed, seed_of(log, block_of(seq)));
  // A branch may come before the log that it leaves, and then brings the seed itself.
  if (!seed && log.branch && log.head.seq == log.base()) return walk;
  if (!seed) return log_is_damaged();
  // The block in which a branch begins is still to be kept under the branch's own number.
  walk.give_seed(block_of(seq), *seed, !log.branch || log.head.seq > log.base());
  return walk;
}

Result<TreeWalk> LogTable::walk_over(const LogEntry& log, Seq seq) {
  WRACKLINE_TRY_VALUE(walk, walk_at(log, seq));
  for (std::uint32_t block = block_of(seq); log.head.seq > 0 && block <= block_of(log.head.seq - 1); ++block) {
    WRACKLINE_TRY_VALUE(seed, seed_of(log, block));
    if (!seed) return log_is_damaged();
    walk.give_seed(block, *seed, true);
  }
  return walk;
}

Result<Frontier> LogTable::tree_at(const LogEntry& log, Seq seq) {
  if (seq == log.head.seq) return log.tree;
  if (seq > log.head.seq || seq < log.base()) return not_held();
  if (seq == log.base()) return log.start;
  // The run that holds seq, from the tree at the end of the run before it.
  WRACKLINE_TRY_VALUE(row, run_at_.with(place_of(log.no, seq)).step());
  if (!row) return log_is_damaged();
  const Seq first = seq_of(run_at_.integer(0));
  if (seq == first + run_at_.integer(1) - 1) {
    auto tree = Frontier::read(seq, run_at_.blob(4));
    run_at_.reset();
    if (!tree) return log_is_damaged();
    return std::move(*tree);
  }
  run_at_.reset();
  WRACKLINE_TRY_VALUE(walk, walk_over(log, first - 1));
  for (Seq s = first; s <= seq; ++s) {
    WRACKLINE_TRY_VALUE(bytes, bytes_of(place_of(log.no, s)));
    if (bytes.empty() || walk.needs_seed()) return log_is_damaged();
    walk.step(bytes);
  }
  return walk.tree();
}

Result<Hash> LogTable::leaf_at(Place place) {
  const LogEntry* log = find(id_of(place).log);
  if (log == nullptr) return not_held();
  const Seq seq = seq_of(place);
  log = holder_of(*log, seq);
  if (log == nullptr || seq <= log->base() || seq > log->head.seq) return not_held();
  WRACKLINE_TRY_VALUE(salt, salt_of(*log, seq));
  WRACKLINE_TRY_VALUE(bytes, bytes_of(place_of(log->no, seq)));
  if (bytes.empty()) return log_is_damaged();
  return change_leaf(salt, bytes);
}

Result<Bytes> LogTable::mark_at(Place place) {
  WRACKLINE_TRY_VALUE(row, marks_.with(place).step());
  Bytes out;
  if (row) {
    const ByteView marks = marks_.blob(1);
    const std::size_t at = static_cast<std::size_t>(place - marks_.integer(0)) * kMarkBytes;
    if (at < marks.size()) out = Bytes(marks.substr(at, kMarkBytes));
  }
  marks_.reset();
  return out;
}

Result<std::uint32_t> LogTable::check_of(Place place) {
  WRACKLINE_TRY_VALUE(leaf, leaf_at(place));
  return first4(leaf);
}

Result<Hash> LogTable::subtree_root(const LogEntry& log, std::uint64_t first, std::uint64_t count) {
  if (!log.branch && first + count <= log.start.size()) {
    const std::optional<Hash> known = log.start.subtree(first, count);
    return known ? Result<Hash>(*known) : Result<Hash>(not_held());
  }
  if (count == kBlockLeaves) {
    const LogEntry* holder = holder_of(log, static_cast<Seq>(first + count));
    if (holder == nullptr) return not_held();
    WRACKLINE_TRY_VALUE(root, block_root(*holder, block_of(first)));
    if (root) return *root;
  }
  if (count == 1) return leaf_at(place_of(log.no, static_cast<Seq>(first + 1)));
  WRACKLINE_TRY_VALUE(left, subtree_root(log, first, count / 2));
  WRACKLINE_TRY_VALUE(right, subtree_root(log, first + count / 2, count / 2));
  return tree_node(left, right);
}

Result<Salt> LogTable::salt_of(const LogEntry& log, Seq seq) {
  const LogEntry* holder = holder_of(log, seq);
  if (holder == nullptr || seq == 0) return not_held();
  const std::uint32_t block = block_of(seq - 1);
  if (!known_salts_.salts || known_salts_.log != holder->no || known_salts_.block != block) {
    WRACKLINE_TRY_VALUE(seed, seed_of(*holder, block));
    if (!seed) return log_is_damaged();
    known_salts_ = {holder->no, block, BlockSalts(*seed)};
  }
  return known_salts_.salts->at(static_cast<unsigned>((seq - 1) % kBlockLeaves));
}

Result<TreePath> LogTable::inclusion_of(const LogEntry& log, Seq seq, Seq size) {
  if (seq == 0 || seq > size || size > log.head.seq) return not_held();
  return inclusion_path(seq - 1, size, [&](std::uint64_t first, std::uint64_t count) { return subtree_root(log, first, count); });
}

Result<TreePath> LogTable::consistency_of(const LogEntry& log, Seq older, Seq newer) {
  if (older == 0 || older > newer || newer > log.head.seq) return not_held();
  return consistency_path(older, newer, [&](std::uint64_t first, std::uint64_t count) { return subtree_root(log, first, count); });
}

Result<Bytes> LogTable::seeds_of(const LogEntry& log, Seq first, Seq last) {
  Bytes out;
  for (std::uint32_t block = block_of(first - 1); block <= block_of(last - 1); ++block) {
    WRACKLINE_TRY_VALUE(seed, seed_of(log, block));
    if (!seed) return log_is_damaged();
    out += view(*seed);
  }
  return out;
}

Result<OutgoingRuns> LogTable::runs_after(const LogEntry& log, Seq after, std::size_t bytes_max) {
  OutgoingRuns out;
  if (!log.seal || after >= log.sealed || after < log.base()) return out;
  std::size_t bytes = 0;
  Seq end = after;
  while (end < log.sealed && (out.runs.empty() || bytes < bytes_max)) {
    OutgoingRun run;
    run.first = end + 1;
    WRACKLINE_TRY_VALUE(row, run_at_.with(place_of(log.no, run.first)).step());
    if (!row) return log_is_damaged();
    const Seq first = seq_of(run_at_.integer(0));
    run.count = static_cast<std::uint32_t>(run_at_.integer(1));
    const bool is_whole = first == run.first && run.last() <= log.sealed && run.count >= kLongRun;
    if (is_whole) run.packed = {static_cast<std::uint32_t>(run_at_.integer(2)), Bytes(run_at_.blob(3))};
    run_at_.reset();
    if (!is_whole) {
      ChangeRun changes;
      for (Seq seq = run.first; seq <= log.sealed; ++seq) {
        WRACKLINE_TRY_VALUE(cached, cached_run(place_of(log.no, seq)));
        if (cached == nullptr) return log_is_damaged();
        // A long run that begins here goes out as it is.
        const std::size_t index = cached->run->size() - 1 - static_cast<std::size_t>(cached->last - place_of(log.no, seq));
        if (index == 0 && !changes.empty() && cached->run->size() >= kLongRun) break;
        const ByteView change = (*cached->run)[index];
        if (!changes.has_room_for(change.size())) break;
        changes.append(change);
      }
      run.count = static_cast<std::uint32_t>(changes.size());
      run.packed = pack_run(changes);
    }
    bytes += run.packed.body.size() + kRunOverhead;
    if (bytes > bytes_max && !out.runs.empty()) break;
    WRACKLINE_TRY_VALUE(seeds, seeds_of(log, run.first, run.last()));
    run.seeds = std::move(seeds);
    end = run.last();
    out.runs.push_back(std::move(run));
  }
  out.seal = *log.seal;
  if (end == log.sealed) return out;
  if (out.seal.steps.size() >= kSealStepsMax) return OutgoingRuns();
  WRACKLINE_TRY_VALUE(path, consistency_of(log, end, log.sealed));
  WRACKLINE_TRY_VALUE(tree, tree_at(log, log.sealed));
  out.seal.steps.insert(out.seal.steps.begin(), {log.sealed, tree.root(), std::move(path)});
  return out;
}

}  // namespace wrackline
