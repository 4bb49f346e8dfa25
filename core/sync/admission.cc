#include "sync/admission.h"

#include <algorithm>
#include <string>
#include <utility>

#include "base/planted.h"
#include "log/change_run.h"
#include "store/seal_check.h"

namespace wrackline {
namespace {

Unexpected refuse(ErrorCode code, const IncomingLog& log, const char* why) {
  const Seq first = log.runs.empty() ? 0 : log.runs.front().first;
  return fail(code, "taking in log " + to_text(log.log) + " from change " + std::to_string(first) + ": " + why);
}

// Gives a walk the seeds that came with the runs; that of a block which was begun before counts before them.
bool give_seeds(const IncomingLog& log, TreeWalk& walk) {
  for (const IncomingRun& run : log.runs) {
    ByteView rest = run.seeds;
    for (std::uint32_t block = block_of(run.first - 1); block <= block_of(run.first + run.count - 2); ++block) {
      BlockSeed seed{};
      if (!copy_exactly(rest.substr(0, seed.size()), seed)) return false;
      rest.remove_prefix(seed.size());
      walk.give_seed(block, seed);
    }
    if (!rest.empty()) return false;
  }
  return true;
}

}  // namespace

bool is_own_trouble(ErrorCode code) {
  return static_cast<std::uint32_t>(code) >= static_cast<std::uint32_t>(ErrorCode::kStorage);
}

// The changes that came of a log, unpacked, and the log here to which they belong.
struct Admission::Target {
  std::vector<std::shared_ptr<const ChangeRun>> runs;
  std::vector<ByteView> bytes;   // The bytes of each change.
  std::vector<Change> changes;
  Bytes marks;                   // The marks of their leaves, in the tree of `log`.
  Seq first = 0;                 // The seq of the first of them.
  const LogEntry* log = nullptr;  // Null when there is nothing of it here yet.
  Seq last() const { return first + static_cast<Seq>(bytes.size()) - 1; }
};

Status Admission::read_runs(const IncomingLog& log, Target& target) {
  target.first = log.runs.empty() ? 0 : log.runs.front().first;
  Seq next = target.first;
  for (const IncomingRun& run : log.runs) {
    if (!log.log || run.first == 0 || run.first != next || run.count == 0 || run.count > kRunChangesMax || run.first > kSeqMax - run.count) {
      return refuse(ErrorCode::kMalformed, log, "it names no run of changes; nothing of it was kept");
    }
    next += run.count;
    UnpackWork work(run_work_allowed(run.body.size()));
    WRACKLINE_TRY_VALUE(unpacked, unpack_run(run.codec, run.body, run.count, work));
    const auto changes = std::make_shared<const ChangeRun>(std::move(unpacked));
    for (std::size_t i = 0; i < changes->size(); ++i) {
      WRACKLINE_TRY_VALUE(change, read_change((*changes)[i]));
      target.changes.push_back(std::move(change));
      target.bytes.push_back((*changes)[i]);
    }
    target.runs.push_back(changes);
  }
  if (target.bytes.empty()) return refuse(ErrorCode::kMalformed, log, "it names no run of changes; nothing of it was kept");
  return {};
}

// Whether the seal is the device's over a tree that begins with what is held of `on` (null: of nothing) before the first change
// that came, and goes on with all that came.
Result<bool> Admission::follows(const IncomingLog& log, const LogEntry* on, Target& target) {
  TreeWalk walk;
  if (on == nullptr) {
    walk = TreeWalk(log.start);
  } else {
    WRACKLINE_TRY_VALUE(held, store_.logs().walk_at(*on, target.first - 1));
    walk = std::move(held);
  }
  if (!give_seeds(log, walk)) return false;
  for (const ByteView bytes : target.bytes) {
    if (walk.needs_seed()) return false;
    walk.step(bytes);
    // Where a branch begins its tree is also that of the log it leaves, and seals of both fit. Its first change tells.
    const bool is_first = on != nullptr && on->branch && walk.tree().size() == on->base() + 1u;
    if (is_first && walk.last_leaf() != on->branch->first) return false;
  }
  if (!covers(log.seal, walk.tree())) return false;
  target.marks = walk.take_marks();
  if (planted("skip-the-seal-check")) return true;
  const LogId sealed_as = on == nullptr ? log.log : on->sealed_as();
  return is_signed(store_.facility(), sealed_as, *log.opening, log.seal, devices_.hub());
}

// Finds the log that the incoming one follows on or overlaps, by its seal: the one it names, or a branch of
// that.
// Errors: kLogGap, kBadSeal.
Status Admission::find_target(const IncomingLog& log, Target& target) {
  const LogEntry* named = store_.logs().find(log.log);
  const LogId root = named == nullptr ? log.log : named->sealed_as();
  bool is_in_reach = false;
  // A device that names a branch knows it; one that names the root may mean any branch of it.
  const std::vector<const LogEntry*> candidates =
      named != nullptr && named->branch ? std::vector<const LogEntry*>{named} : store_.logs().sealed_under(root);
  for (const LogEntry* held : candidates) {
    if (!held->opening || target.first <= held->base() || target.first > held->head.seq + 1) continue;
    is_in_reach = true;
    WRACKLINE_TRY_VALUE(is_right, follows(log, held, target));
    if (!is_right) continue;
    target.log = held;
    return {};
  }
  const bool is_new = (named == nullptr || !named->opening) && target.first == log.start.size() + 1;
  if (is_new) {
    // An id is bound to the key, so that nobody can take the one that another device will need.
    const bool is_former = log.opening->log_class == LogClass::kFormer;
    if (is_former && source_ == Source::kToHub) {
      return refuse(ErrorCode::kUnsupported, log, "it is of an earlier form, and the hub has never held it; it was not kept here and stays in what you have; "
                                                  "write what it tells by hand");
    }
    // The id of such a log follows from no key: whoever made one up could take that of another's log, and the hub would not have it.
    if (is_former && source_ == Source::kFromPeer &&
        !is_signed_by_hub(store_.facility(), log.log, *log.opening, log.seal, devices_.hub())) {
      return refuse(ErrorCode::kUnsupported, log, "it is of an earlier form, and not under the hub's seal; it was not kept here; exchange with the hub, "
                                                  "which has it if it is genuine");
    }
    if (!is_former && log_id(store_.facility(), *log.opening) != log.log) {
      return refuse(ErrorCode::kBadSeal, log, "its id is not that of a log of its device's key; nothing of it was kept");
    }
    WRACKLINE_TRY_VALUE(is_right, follows(log, nullptr, target));
    if (is_right) return {};
  } else if (planted("skip-the-gap-check") && !is_in_reach && named != nullptr && named->opening) {
    target.log = named;
    return {};
  } else if (!is_in_reach) {
    return refuse(ErrorCode::kLogGap, log, "changes before it are missing here; it was not kept; send the log from the change after the last one held");
  }
  return refuse(ErrorCode::kBadSeal, log,
                "the seal does not match: it was altered on the way, or the log was continued twice; nothing of it was kept");
}

std::optional<LogOpening> Admission::opening_of(const IncomingLog& log) const {
  const LogEntry* named = store_.logs().find(log.log);
  return log.opening || named == nullptr ? log.opening : named->opening;
}

Result<std::uint32_t> Admission::admit(IncomingLog incoming) {
  if (source_ == Source::kToHub && !std::exchange(has_begun_, true)) WRACKLINE_TRY(gatekeeper_.begin());
  const LogEntry* named = store_.logs().find(incoming.log);
  incoming.opening = opening_of(incoming);
  if (!incoming.opening) {
    return refuse(ErrorCode::kLogGap, incoming, "whose log it is is not known here; it was not kept; send the log from its first change");
  }
  if (named != nullptr && named->opening && to_bytes(*named->opening) != to_bytes(*incoming.opening)) {
    return refuse(ErrorCode::kBadSeal, incoming, "the log belongs to another device's key; nothing of it was kept");
  }
  WRACKLINE_TRY_VALUE(device, devices_.find(incoming.opening->device));
  if (device.standing == DeviceStanding::kUnknown) {
    return refuse(ErrorCode::kUnknownDevice, incoming,
                  "its device is not known here; it was not kept; exchange with the hub, which knows its devices, then try again");
  }
  if (incoming.opening->log_class == LogClass::kArrivals && !devices_.hub().is_key(incoming.opening->device)) {
    return refuse(ErrorCode::kUnauthorized, incoming, "only the hub has logs of arrivals; nothing of it was kept");
  }
  if (incoming.start.size() > 0 && incoming.opening->log_class != LogClass::kArrivals) {
    return refuse(ErrorCode::kLogGap, incoming, "its beginning is missing; it was not kept; send the log from its first change");
  }
  Target target;
  WRACKLINE_TRY(read_runs(incoming, target));
  WRACKLINE_TRY(find_target(incoming, target));

  // How much of it is here already; and whether it parts from what is here.
  const Seq held = target.log == nullptr ? 0 : target.log->head.seq;
  std::size_t same = 0;
  for (; same < target.bytes.size() && target.first + same <= held; ++same) {
    const Place place = place_of(target.log->no, target.first + static_cast<Seq>(same));
    WRACKLINE_TRY_VALUE(here, store_.logs().bytes_of(place));
    if (here != target.bytes[same]) break;
    // With another salt the same change is another leaf, and nothing sealed behind it would fit what is held.
    WRACKLINE_TRY_VALUE(mark, store_.logs().mark_at(place));
    if (ByteView(mark) != ByteView(target.marks).substr(same * kMarkBytes, kMarkBytes)) break;
  }
  if (planted("apply-twice") && same == target.bytes.size()) {
    WRACKLINE_TRY_VALUE(again, store_.logs().intern(target.log->id));
    WRACKLINE_TRY(append(incoming, target, 0, *again));
  }
  if (same == target.bytes.size()) {
    // All of it is here; of a log that was brought over from an earlier form its seal may still be missing.
    if (target.log->seal || target.last() != held) return 0u;
    WRACKLINE_TRY_VALUE(sealed, store_.logs().intern(target.log->id));
    WRACKLINE_TRY(store_.logs().set_seal(*sealed, incoming.seal));
    return 0u;
  }
  // A key that the hub uses no more: what lies within the ends of its logs is as good as ever.
  const bool is_revoked = device.standing == DeviceStanding::kRevoked &&
                          target.last() > devices_.hub().reach(incoming.log, incoming.opening->device);
  // Words of arrivals are no records, and behind that end they are nobody's word.
  const bool is_in_doubt = is_revoked && source_ == Source::kFromPeer && incoming.opening->log_class != LogClass::kArrivals;
  WRACKLINE_TRY_VALUE(is_told, is_in_doubt ? is_told_by_hub(incoming, target) : Result<bool>(true));
  if (!is_told) {
    return refuse(ErrorCode::kRevokedDevice, incoming,
                  "its device was revoked; it was not kept here and stays in what you have; write what it tells by hand, in the name of whoever saw it");
  }
  const bool parts = target.first + same <= held;
  if (parts && planted("drop-a-branch")) return 0u;
  std::optional<Bytes> unknown;
  if (source_ == Source::kToHub && !devices_.hub().is_key(incoming.opening->device)) {
    auto looked = unknown_.look(incoming.opening->device, incoming.log, target.changes);
    if (!looked) return is_own_trouble(looked.error().code) ? Result<std::uint32_t>(fail(looked.error())) : refuse(looked.error().code, incoming, looked.error().message.c_str());
    unknown = std::move(*looked);
  }
  WRACKLINE_TRY_VALUE(log, parts ? open_branch(incoming, target, same) : open_target(incoming, target));
  WRACKLINE_TRY(append(incoming, target, same, *log));
  if (unknown) WRACKLINE_TRY(unknown_.keep(incoming.opening->device, *unknown));
  WRACKLINE_TRY(compare_seen(*log));
  Bytes content;
  for (std::size_t i = same; i < target.bytes.size(); ++i) {
    if (log->branch) {
      content.assign(target.bytes[i]);
      store_.logs().bytes_to_content(*log, content);
      WRACKLINE_TRY_VALUE(change, read_change(content));
      target.changes[i] = std::move(change);
    }
    if (latest_stamp_ < target.changes[i].stamp) latest_stamp_ = target.changes[i].stamp;
    WRACKLINE_TRY(store_.records().apply(place_of(log->no, target.first + static_cast<Seq>(i)), target.changes[i]));
  }
  // The hub's words of arrivals are no records. They are judged only where they turn out to be another branch.
  if (source_ == Source::kToHub && (log->branch || !log->is_arrivals())) {
    gatekeeper_.note({log->id, target.first + static_cast<Seq>(same), target.last()});
  }
  return static_cast<std::uint32_t>(target.bytes.size() - same);
}

// The hub has judged all that it says it came to hold, and its word speaks of its own logs too, in which its holds stand. So the
// word counts only where none of them is missing: a bundle may have left them out.
Result<bool> Admission::is_told_by_hub(const IncomingLog& incoming, const Target& target) {
  const LogEntry* log = target.log == nullptr ? store_.logs().find(incoming.log) : target.log;
  if (log == nullptr || incoming.seal.size != target.last()) return false;
  return store_.records().arrivals().tells(*log, target.last(), incoming.seal.root, devices_.hub());
}

Result<LogEntry*> Admission::open_target(const IncomingLog& incoming, const Target& target) {
  WRACKLINE_TRY_VALUE(entry, store_.logs().intern(target.log == nullptr ? incoming.log : target.log->id));
  if (entry->opening) return entry;
  WRACKLINE_TRY(incoming.start.size() == 0 ? store_.logs().open(*entry, *incoming.opening)
                                           : store_.logs().open_behind(*entry, *incoming.opening, incoming.start));
  return entry;
}

// At the hub, what parts from a log held here becomes a branch with an id of its own. Elsewhere it waits for the
// hub's word. Errors: kFork.
Result<LogEntry*> Admission::open_branch(const IncomingLog& incoming, const Target& target, std::size_t same) {
  const Seq after = target.first + static_cast<Seq>(same) - 1;
  WRACKLINE_TRY_VALUE(start, store_.logs().tree_at(*target.log, after));
  WRACKLINE_TRY_VALUE(walk, store_.logs().walk_at(*target.log, after));
  (void)give_seeds(incoming, walk);
  walk.step(target.bytes[same]);
  const Branch branch{target.log->sealed_as(), target.log->id, after, walk.last_leaf()};
  const LogId id = branch_id(branch.root, after, branch.first);
  const LogEntry* known = store_.logs().find(id);
  if (source_ != Source::kToHub && (known == nullptr || !known->opening)) {
    return refuse(ErrorCode::kFork, incoming,
                  "another branch of this log is held here; both stay where they are; exchange with the hub, which keeps them apart");
  }
  if (known != nullptr && known->opening && known->head.seq != after) {
    return refuse(ErrorCode::kLogGap, incoming, "this part of the branch is held here; send what follows");
  }
  return store_.logs().open_branch(id, branch, start, *incoming.opening);
}

Status Admission::append(const IncomingLog& incoming, const Target& target, std::size_t same, LogEntry& to) {
  LogTable& logs = store_.logs();
  WRACKLINE_TRY_VALUE(walk, logs.walk_at(to, to.head.seq));
  (void)give_seeds(incoming, walk);
  std::size_t index = 0;
  for (std::size_t r = 0; r < target.runs.size(); ++r) {
    const ChangeRun& run = *target.runs[r];
    const std::size_t skip = index >= same ? 0 : std::min(run.size(), same - index);
    index += run.size();
    if (skip == run.size()) continue;
    for (std::size_t i = skip; i < run.size(); ++i) walk.step(run[i]);
    if (skip == 0) {
      WRACKLINE_TRY(logs.append(to, {incoming.runs[r].codec, Bytes(incoming.runs[r].body)}, incoming.runs[r].count, walk));
      logs.remember(to, target.runs[r]);
      continue;
    }
    ChangeRun rest;
    for (std::size_t i = skip; i < run.size(); ++i) rest.append(run[i]);
    WRACKLINE_TRY(logs.append(to, pack_run(rest), static_cast<std::uint32_t>(rest.size()), walk));
  }
  WRACKLINE_TRY(logs.set_seal(to, incoming.seal));
  return logs.pack_short_runs(to);
}

// A device names in its seal the arrivals at the hub that it has seen. The hub has one log of them that only grows, so what
// it saw is the beginning of what is held here, or the other way round.
Status Admission::compare_seen(const LogEntry& log) {
  const SeenArrivals& seen = log.seal->seen;
  const LogEntry* arrivals = store_.logs().find(seen.log);
  const bool can_be_compared = arrivals != nullptr && arrivals->opening && seen.size <= arrivals->head.seq && seen.size >= arrivals->base();
  if (seen.size == 0 || !can_be_compared) return {};
  WRACKLINE_TRY_VALUE(tree, store_.logs().tree_at(*arrivals, static_cast<Seq>(seen.size)));
  if (tree.root() != seen.root) contradictions_.push_back(log.id);
  return {};
}

Status Admission::move_branches() {
  if (planted("branch-not-moved")) return {};
  bool has_moved = false;
  for (;;) {
    WRACKLINE_TRY_VALUE(moves, store_.logs().branches_to_move());
    if (moves.empty()) break;
    // One at a time: what is moved may go on into a branch of the branch.
    const auto [parent, branch] = moves.front();
    WRACKLINE_TRY_VALUE(from, store_.logs().intern(parent));
    WRACKLINE_TRY_VALUE(to, store_.logs().intern(branch));
    WRACKLINE_TRY(store_.logs().move_to_branch(*from, *to));
    // Somebody who goes on elsewhere in one of this device's logs may do so in the others.
    WRACKLINE_TRY_VALUE(own, store_.own_logs());
    const LogId moved = parent;
    if (std::any_of(own.begin(), own.end(), [&](const auto& each) { return each.second == moved; })) WRACKLINE_TRY(store_.set_own_logs({}));
    has_moved = true;
  }
  if (!has_moved && !store_.records().hub_has_moved()) return {};
  WRACKLINE_TRY(store_.records().flush());
  WRACKLINE_TRY(store_.records().rebuild());
  return {};
}

}  // namespace wrackline
