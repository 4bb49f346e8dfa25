#include "sync/admission.h"

#include <string>

#include "base/planted.h"
#include "crypto/texts.h"
#include "log/chain.h"
#include "log/change_run.h"

namespace wrackline {
namespace {

Unexpected refuse(ErrorCode code, const IncomingSegment& s, const char* why) {
  return fail(code, "taking in log " + to_text(s.log) + " from change " + std::to_string(s.first) + ": " + why);
}

MarkedChain over(const ChangeRun& run, const Hash& before) {
  MarkedChain chain{before, {}};
  chain.marks.reserve(run.size() * kMarkBytes);
  for (std::size_t i = 0; i < run.size(); ++i) chain.step(run[i]);
  return chain;
}

bool holds(const FacilityId& facility, const IncomingSegment& segment, ChangeId last, const Hash& chain) {
  if (planted("skip-the-seal-check")) return true;
  return verify_signature(segment.device, seal_text(facility, last, chain), segment.seal);
}

}  // namespace

bool is_own_trouble(ErrorCode code) {
  return static_cast<std::uint32_t>(code) >= static_cast<std::uint32_t>(ErrorCode::kStorage);
}

// Which log the segment follows on or overlaps, by its seal: the one it names, or a branch of that. Null when there
// is nothing of it here yet. Errors: kLogGap, kBadSeal.
Result<Admission::Target> Admission::find_target(const IncomingSegment& segment, const ChangeRun& run) {
  const LogEntry* named = store_.logs().find(segment.log);
  const LogId root = named == nullptr ? segment.log : named->sealed_as();
  const Seq last = segment.first + segment.count - 1;
  bool is_in_reach = false;
  // Who names a branch knows it; who names the root may mean any branch of it.
  const std::vector<const LogEntry*> candidates =
      named != nullptr && named->branch ? std::vector<const LogEntry*>{named} : store_.logs().sealed_under(root);
  for (const LogEntry* log : candidates) {
    if (!log->device) continue;
    if (segment.first <= log->base() || segment.first > log->head.seq + 1) continue;
    is_in_reach = true;
    WRACKLINE_TRY_VALUE(before, store_.logs().chain_at(*log, segment.first - 1));
    // Where a branch begins its chain is also that of the log it leaves, and seals of both fit. Its first change tells.
    if (log->branch && segment.first == log->base() + 1 && chain_next(before, run[0]) != log->branch->first) continue;
    MarkedChain chain = over(run, before);
    if (holds(store_.facility(), segment, {root, last}, chain.chain)) {
      return Target{log, std::move(chain)};
    }
  }
  const bool is_new = (named == nullptr || !named->device) && segment.first == 1;
  if (is_new) {
    MarkedChain chain = over(run, chain_start(store_.facility(), segment.log, segment.device));
    if (holds(store_.facility(), segment, {segment.log, last}, chain.chain)) {
      return Target{nullptr, std::move(chain)};
    }
  } else if (planted("skip-the-gap-check") && !is_in_reach && named != nullptr && named->device) {
    return Target{named, over(run, named->head.hash)};
  } else if (!is_in_reach) {
    return refuse(ErrorCode::kLogGap, segment, "changes before it are missing here; it was not kept; send the log from the change after the last one held");
  }
  return refuse(ErrorCode::kBadSeal, segment,
                "the seal does not match: it was altered on the way, or the log was continued twice; nothing of it was kept");
}

Result<std::uint32_t> Admission::admit(const IncomingSegment& segment) {
  if (!segment.log || segment.first == 0 || segment.count == 0 || segment.count > kRunChangesMax ||
      segment.first > kSeqMax - segment.count) {
    return refuse(ErrorCode::kMalformed, segment, "it names no run of changes; nothing of it was kept");
  }
  const LogEntry* named = store_.logs().find(segment.log);
  if (named != nullptr && named->device && *named->device != segment.device) {
    return refuse(ErrorCode::kBadSeal, segment, "the log belongs to another device's key; nothing of it was kept");
  }
  WRACKLINE_TRY_VALUE(device, devices_.find(segment.device));
  if (device.standing == DeviceStanding::kUnknown) {
    return refuse(ErrorCode::kUnknownDevice, segment,
                  "its device is not known here; it was not kept; exchange with the hub, which knows its devices, then try again");
  }
  // Of a key that the hub uses no more, what lies within the ends of its logs is as good as ever.
  const bool is_revoked = device.standing == DeviceStanding::kRevoked &&
                          segment.first + segment.count - 1 > devices_.hub().reach(segment.log, segment.device);
  if (is_revoked && source_ == Source::kFromPeer) {
    return refuse(ErrorCode::kRevokedDevice, segment,
                  "its device was revoked; it was not kept here and stays in what you have; write what it tells by hand, in the name of whoever saw it");
  }
  WRACKLINE_TRY_VALUE(unpacked, unpack_run(segment.codec, segment.body, segment.count));
  const auto run = std::make_shared<const ChangeRun>(std::move(unpacked));
  std::vector<Change> changes(run->size());
  for (std::size_t i = 0; i < run->size(); ++i) {
    WRACKLINE_TRY_VALUE(change, read_change((*run)[i]));
    changes[i] = std::move(change);
  }
  WRACKLINE_TRY_VALUE(found, find_target(segment, *run));
  const LogEntry* target = found.log;

  // How much of it is here already; and whether it parts from what is here.
  const Seq held = target == nullptr ? 0 : target->head.seq;
  std::size_t same = 0;
  for (; same < run->size() && segment.first + same <= held; ++same) {
    WRACKLINE_TRY_VALUE(here, store_.logs().bytes_of(place_of(target->no, segment.first + static_cast<Seq>(same))));
    if (here != (*run)[same]) break;
  }
  if (planted("apply-twice") && same == run->size()) {
    WRACKLINE_TRY_VALUE(again, store_.logs().intern(target->id));
    WRACKLINE_TRY(append(segment, run, 0, std::move(found.chain), *again));
  }
  if (same == run->size()) return 0u;
  LogEntry* log = nullptr;
  const bool parts = segment.first + same <= held;
  if (parts && planted("drop-a-branch")) return 0u;
  if (parts) {
    WRACKLINE_TRY_VALUE(branch, open_branch(segment, *target, *run, same));
    log = branch;
  } else {
    WRACKLINE_TRY_VALUE(entry, store_.logs().intern(target == nullptr ? segment.log : target->id));
    log = entry;
  }
  if (!log->device) WRACKLINE_TRY(store_.logs().set_device(*log, segment.device));
  WRACKLINE_TRY(append(segment, run, same, std::move(found.chain), *log));
  const std::string revoked_name = is_revoked ? device.name : std::string();
  Bytes content;
  for (std::size_t i = same; i < run->size(); ++i) {
    if (log->branch) {
      content.assign((*run)[i]);
      store_.logs().bytes_to_content(*log, content);
      WRACKLINE_TRY_VALUE(change, read_change(content));
      changes[i] = std::move(change);
    }
    WRACKLINE_TRY(apply(*log, segment.first + static_cast<Seq>(i), changes[i], revoked_name));
  }
  return static_cast<std::uint32_t>(run->size() - same);
}

// At the hub, what parts from a log held here becomes a branch with an id of its own. Elsewhere it waits for the
// hub's word. Errors: kFork.
Result<LogEntry*> Admission::open_branch(const IncomingSegment& segment, const LogEntry& target, const ChangeRun& run,
                                         std::size_t same) {
  const Seq after = segment.first + static_cast<Seq>(same) - 1;
  WRACKLINE_TRY_VALUE(base, store_.logs().chain_at(target, after));
  const Branch branch{target.sealed_as(), target.id, after, base, chain_next(base, run[same])};
  const LogId id = branch_id(branch.root, after, run[same]);
  const LogEntry* known = store_.logs().find(id);
  if (source_ != Source::kToHub && (known == nullptr || !known->device)) {
    return refuse(ErrorCode::kFork, segment,
                  "another branch of this log is held here; both stay where they are; exchange with the hub, which keeps them apart");
  }
  if (known != nullptr && known->device && known->head.seq != after) {
    return refuse(ErrorCode::kLogGap, segment, "this part of the branch is held here; send what follows");
  }
  return store_.logs().open_branch(id, branch, segment.device);
}

Status Admission::append(const IncomingSegment& segment, const std::shared_ptr<const ChangeRun>& run, std::size_t skip,
                         MarkedChain chain, LogEntry& log) {
  if (skip == 0) {
    WRACKLINE_TRY(store_.logs().append(log, {segment.codec, Bytes(segment.body)}, segment.count, chain, segment.seal));
    store_.logs().remember(log, run);
    return {};
  }
  ChangeRun rest;
  chain.marks.erase(0, skip * kMarkBytes);
  for (std::size_t i = skip; i < run->size(); ++i) rest.append((*run)[i]);
  return store_.logs().append(log, pack_run(rest), static_cast<std::uint32_t>(rest.size()), chain, segment.seal);
}

Status Admission::apply(const LogEntry& log, Seq seq, const Change& change, const std::string& revoked_name) {
  if (latest_stamp_ < change.stamp) latest_stamp_ = change.stamp;
  if (source_ == Source::kToHub) {
    const ChangeId id{log.id, seq};
    std::optional<Objection> objection;
    if (log.branch && !planted("branch-not-held")) {
      objection = {HoldCause::kFork, "log " + to_text(log.branch->root) + " was continued twice after change " +
                                         std::to_string(log.branch->after) +
                                         ": its device was cloned, or restored from an old backup"};
    } else if (!revoked_name.empty() && !planted("revoked-not-held")) {
      objection = {HoldCause::kRevoked, "its device \"" + revoked_name + "\" had been revoked when it arrived"};
    } else {
      WRACKLINE_TRY_VALUE(judged, gatekeeper_.judge(change, devices_.hub().speaks(log, seq)));
      objection = judged;
    }
    if (objection) gatekeeper_.hold(id, *objection);
  }
  return store_.records().apply(place_of(log.no, seq), change);
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
    WRACKLINE_TRY_VALUE(own, store_.own_log());
    if (own == parent) WRACKLINE_TRY(store_.set_own_log({}));
    has_moved = true;
  }
  if (!has_moved && !store_.records().hub_has_moved()) return {};
  WRACKLINE_TRY(store_.records().flush());
  WRACKLINE_TRY(store_.records().rebuild());
  return {};
}

}  // namespace wrackline
