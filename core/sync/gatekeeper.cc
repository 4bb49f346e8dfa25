#include "sync/gatekeeper.h"

#include <algorithm>

#include "base/planted.h"
#include "model/kinds.h"
#include "sync/facility_policy.h"

namespace wrackline {
namespace {

// Somebody may be made a person by somebody whose own record has a later stamp, by a clock that was wrong. So many in a row
// are followed; behind that a person waits, held, for the next exchange.
constexpr int kPassesMost = 8;
// The rules (projection_mark()) by which holds were last judged again.
constexpr const char* kJudgedBy = "judged_by";

std::string done_by(const Act& act) {
  const KindRow* row = find_kind(act.kind);
  const std::string kind = row == nullptr ? "record" : std::string(row->name);
  if (act.birth) return "wrote a new " + kind;
  if (act.gives_approval) return "approved a " + kind;
  return (act.touches_review ? "reviewed a " : "changed a ") + kind;
}

}  // namespace

Status Gatekeeper::begin() {
  WRACKLINE_TRY(find_revoked());
  WRACKLINE_TRY_VALUE(policy, facility_policy(store_));
  is_proof_required_ = policy.proof_required;
  return {};
}

// True when one more has been revoked since this was asked last.
Result<bool> Gatekeeper::find_revoked() {
  WRACKLINE_TRY_VALUE(all, devices_.all());
  bool is_more = false;
  for (const auto& [key, device] : all) {
    if (device.standing == DeviceStanding::kRevoked) is_more = revoked_.try_emplace(key, device.name).second || is_more;
  }
  return is_more;
}

Result<Gatekeeper::Coming> Gatekeeper::read(ChangeId id) {
  WRACKLINE_TRY_VALUE(bytes, store_.logs().content_of(store_.logs().find_place(id)));
  const Bytes copy(bytes);
  WRACKLINE_TRY_VALUE(change, read_change(copy));
  Coming out;
  out.id = id;
  out.record = change.is_birth() ? id : change.record;
  out.stamp = change.stamp;
  out.author = change.author;
  std::uint32_t kind = change.kind;
  if (!change.is_birth()) {
    WRACKLINE_TRY_VALUE(birth_bytes, store_.logs().content_of(store_.logs().find_place(change.record)));
    const auto has_its_birth = [&](const HeldChanges& run) { return run.log == change.record.log; };
    const bool is_too_early = planted("judge-before-the-birth") && std::any_of(came_.begin(), came_.end(), has_its_birth);
    if (!birth_bytes.empty() && !is_too_early) {
      WRACKLINE_TRY_VALUE(birth, read_change(birth_bytes));
      kind = birth.kind;  // 0 where the edit claims that an edit is a record: it does nothing, for good.
    }
  }
  out.is_born = kind != 0;
  out.act = act_of(kind, change.is_birth(), change.author, change.fields, change.clears);
  return out;
}

// All that came and is not the hub's own word, and edits that waited for a birth which has come, by (stamp, id).
Result<std::vector<Gatekeeper::Coming>> Gatekeeper::read_all() {
  std::vector<Coming> out;
  for (const HeldChanges& run : came_) {
    const LogEntry* log = store_.logs().find(run.log);
    for (Seq seq = run.first; log != nullptr && seq <= run.last; ++seq) {
      if (devices_.hub().speaks(*log, seq)) continue;
      WRACKLINE_TRY_VALUE(bytes, store_.logs().bytes_of(place_of(log->no, seq)));
      if (bytes.empty()) continue;  // It went to a branch meanwhile, which is held.
      WRACKLINE_TRY_VALUE(change, read({run.log, seq}));
      out.push_back(std::move(change));
    }
  }
  for (const Place record : store_.records().take_births_after_edits()) {
    WRACKLINE_TRY_VALUE(edits, store_.records().edits_of(record));
    for (const Place edit : edits) {
      const ChangeId id = store_.logs().id_of(edit);
      const LogEntry* log = store_.logs().find(id.log);
      if (log == nullptr || devices_.hub().speaks(*log, id.seq)) continue;
      if (store_.records().holds().is_held(edit)) {
        come_early_.insert(store_.logs().id_of(record));
        continue;
      }
      WRACKLINE_TRY_VALUE(change, read(id));
      out.push_back(std::move(change));
    }
  }
  const auto earlier = [](const Coming& a, const Coming& b) { return a.stamp == b.stamp ? a.id < b.id : a.stamp < b.stamp; };
  std::sort(out.begin(), out.end(), earlier);
  out.erase(std::unique(out.begin(), out.end(), [](const Coming& a, const Coming& b) { return a.id == b.id; }), out.end());
  return out;
}

Result<std::optional<Objection>> Gatekeeper::judge_at_hub(const Coming& change) {
  using Outcome = std::optional<Objection>;
  if (is_proof_required_ && is_at_hub(change.act) && !planted("act-at-a-device")) {
    return Outcome({HoldCause::kAtHub, "its author " + done_by(change.act) + " on a device; that is an act at the hub, with their PIN"});
  }
  if (!decides_on_hold(change.act)) return Outcome();
  WRACKLINE_TRY_VALUE(is_about_hub, hub_holds_->has(change.record, is_proof_required_));
  if (!is_about_hub) return Outcome();
  return Outcome({HoldCause::kAtHub, "its author took in what nobody may take in; who may does it anew, at the hub or when its record is there"});
}

// An edit that came before its record is judged with the birth, when that comes. The hub's own births do not come: it writes them. Their ids
// can be guessed, and whoever did would have an edit of a person, a device or a hold that nobody had judged.
std::optional<Objection> Gatekeeper::judge_early(const Coming& change) {
  const LogEntry* log = store_.logs().find(change.record.log);
  const bool is_of_hub = log != nullptr && log->opening && devices_.hub().is_key(log->opening->device) && change.record.seq > log->head.seq;
  if (!is_of_hub || planted("judge-no-early-edit")) return std::nullopt;
  return Objection{HoldCause::kEarly, "it changes record " + to_text(change.record) + ", which the hub had not written"};
}

Result<std::optional<Objection>> Gatekeeper::judge(const Coming& change, RolesOverTime& roles) {
  using Outcome = std::optional<Objection>;
  if (!change.author) return Outcome({HoldCause::kAuthor, "it has no author; only the hub itself writes without one"});
  WRACKLINE_TRY_VALUE(had, roles.at(change.author, change.stamp));
  if (!had) {
    return Outcome({HoldCause::kAuthor, "its author " + to_text(change.author) + " is no person the hub knows of"});
  }
  if (!change.is_born) return judge_early(change);
  WRACKLINE_TRY_VALUE(at_hub, judge_at_hub(change));
  if (at_hub) return at_hub;
  if (!has_rule(change.act.kind)) {
    return Outcome({HoldCause::kKind, "it is of kind " + std::to_string(change.act.kind) +
                                          ", for which this release of the hub knows no rule; a newer one judges it again"});
  }
  std::string needed;
  if (may(*had, change.act, needed)) {
    if (!is_proof_required_ || !needs_proof(change.act)) return Outcome();
    const LogEntry* log = store_.logs().find(change.id.log);
    if (log != nullptr && log->opening) {
      WRACKLINE_TRY_VALUE(proof, presences_.proof({change.author, log->opening->device, change.stamp.ms(), now_}));
      if (proof) return Outcome();
    }
    return Outcome({HoldCause::kUnproven, "its author " + done_by(change.act) + ", and had not proved to the hub that they were at the device"});
  }
  return Outcome({HoldCause::kRole, "its author " + done_by(change.act) + ", which is for " + needed});
}

Result<Gatekeeper::Objections> Gatekeeper::judge_all(const std::vector<Coming>& all, const Objections& laid_before) {
  std::vector<const Coming*> of_people;
  std::set<ChangeId> in_doubt;
  for (const Coming& change : all) {
    if (!change.is_about(Kind::kPerson)) continue;
    in_doubt.insert(change.id);
    if (laid_before.count(change.id) == 0) of_people.push_back(&change);
  }
  std::set<ChangeId> born;  // Once accepted a birth stays so, whatever later passes find: so they end.
  for (int pass = 0;; ++pass) {
    Objections out = laid_before;
    std::set<ChangeId> doubts = in_doubt;
    for (const ChangeId id : born) doubts.erase(id);
    RolesOverTime roles(store_, std::move(doubts));
    const std::size_t born_before = born.size();
    for (const Coming* change : of_people) {
      if (born.count(change->id) != 0) continue;
      WRACKLINE_TRY_VALUE(objection, judge(*change, roles));
      if (objection) {
        out.emplace(change->id, *objection);
        continue;
      }
      WRACKLINE_TRY(roles.accept(change->record, change->id));
      if (change->act.birth) born.insert(change->id);
    }
    if (born.size() != born_before && pass < kPassesMost) continue;
    for (const Coming& change : all) {
      if (change.is_about(Kind::kPerson) || laid_before.count(change.id) != 0) continue;
      WRACKLINE_TRY_VALUE(objection, judge(change, roles));
      if (objection) out.emplace(change.id, *objection);
    }
    return out;
  }
}

Result<Gatekeeper::Objections> Gatekeeper::of_whole_logs(const std::vector<Coming>& all) {
  Objections out;
  for (const Coming& change : all) {
    WRACKLINE_TRY_VALUE(at_hub, judge_at_hub(change));
    if (at_hub) {  // Before all else, or an officer could take it in with what it came with.
      out[change.id] = *at_hub;
      continue;
    }
    const LogEntry* log = store_.logs().find(change.id.log);
    if (log == nullptr || !log->opening) continue;
    const auto revoked = revoked_.find(log->opening->device);
    if (log->branch && !planted("branch-not-held")) {
      out[change.id] = {HoldCause::kFork, "log " + to_text(log->branch->root) + " was continued twice after change " +
                                              std::to_string(log->branch->after) +
                                              ": its device was cloned, or restored from an old backup"};
    } else if (revoked != revoked_.end() && !planted("revoked-not-held")) {
      out[change.id] = {HoldCause::kRevoked, "its device \"" + revoked->second + "\" had been revoked when it arrived"};
    }
  }
  return out;
}

Status Gatekeeper::write(const Objections& objections, HoldWriter& writer) {
  std::vector<std::pair<HeldChanges, Objection>> runs;
  for (const auto& [id, objection] : objections) {
    if (!written_.insert(id).second) continue;
    if (!runs.empty() && runs.back().first.log == id.log && runs.back().first.last + 1 == id.seq && runs.back().second == objection) {
      runs.back().first.last = id.seq;
    } else {
      runs.emplace_back(HeldChanges{id.log, id.seq, id.seq}, objection);
    }
  }
  for (const auto& [changes, objection] : runs) WRACKLINE_TRY(writer.hold(changes, objection));
  return {};
}

Status Gatekeeper::conclude(HoldWriter& writer) {
  now_ = writer.now();
  hub_holds_.emplace(store_);
  WRACKLINE_TRY_VALUE(all, read_all());
  for (;;) {
    WRACKLINE_TRY_VALUE(laid_before, of_whole_logs(all));
    WRACKLINE_TRY_VALUE(objections, judge_all(all, laid_before));
    // A strike of a device that is held revokes nobody: so these first.
    Objections of_devices;
    for (const Coming& change : all) {
      const auto found = objections.find(change.id);
      if (change.is_about(Kind::kDevice) && found != objections.end()) of_devices.insert(*found);
    }
    WRACKLINE_TRY(write(of_devices, writer));
    WRACKLINE_TRY_VALUE(is_more, find_revoked());
    if (is_more) continue;
    WRACKLINE_TRY(write(objections, writer));
    break;
  }
  WRACKLINE_TRY(note_former_roles(all, writer));
  came_.clear();
  WRACKLINE_TRY_VALUE(judged_by, store_.meta(kJudgedBy));
  const bool has_other_rules = judged_by != std::optional<Bytes>(projection_mark());
  const bool is_about_people = std::any_of(all.begin(), all.end(), [](const Coming& c) { return c.is_about(Kind::kPerson); });
  if (!is_about_people && !has_other_rules && come_early_.empty()) return {};
  WRACKLINE_TRY(judge_held_again(writer));
  return has_other_rules ? store_.set_meta(kJudgedBy, projection_mark()) : Status();
}

Status Gatekeeper::note_former_roles(const std::vector<Coming>& all, HoldWriter& writer) {
  constexpr Stamp kAfterAll{~0ull};
  RolesOverTime roles(store_, {});
  std::map<ChangeId, const Coming*> found;
  for (const Coming& change : all) {
    if (written_.count(change.id) != 0 || !change.is_born || !change.author) continue;
    WRACKLINE_TRY_VALUE(had, roles.at(change.author, change.stamp));
    WRACKLINE_TRY_VALUE(has, roles.at(change.author, kAfterAll));
    std::string needed;
    if (!had || !has || *had == *has || !may(*had, change.act, needed) || may(*has, change.act, needed)) continue;
    found.emplace(change.id, &change);
  }
  for (auto it = found.begin(); it != found.end();) {
    const RecordId author = it->second->author;
    HeldChanges run{it->first.log, it->first.seq, it->first.seq};
    WallMs written = it->second->stamp.ms();
    for (++it; it != found.end() && it->first.log == run.log && it->first.seq == run.last + 1 && it->second->author == author; ++it) {
      run.last = it->first.seq;
      written = std::min(written, it->second->stamp.ms());
    }
    WRACKLINE_TRY(writer.note_former_role(author, run, written));
  }
  return {};
}

// Finds what is objected to among held changes; none while one of them is not here.
Result<std::optional<Gatekeeper::JudgedAgain>> Gatekeeper::objections_to(const HeldChanges& changes, RolesOverTime& roles) {
  JudgedAgain out;
  for (Seq seq = changes.first; changes.log && seq <= changes.last; ++seq) {
    const ChangeId id{changes.log, seq};
    WRACKLINE_TRY_VALUE(bytes, store_.logs().bytes_of(store_.logs().find_place(id)));
    if (bytes.empty()) return std::optional<JudgedAgain>();
    WRACKLINE_TRY_VALUE(change, read(id));
    WRACKLINE_TRY_VALUE(objection, judge(change, roles));
    if (objection) out.objections.emplace(id, *objection);
    out.changes.push_back(std::move(change));
  }
  return std::optional<JudgedAgain>(std::move(out));
}

// Lifting one may make the author of another known.
Status Gatekeeper::judge_held_again(HoldWriter& writer) {
  bool has_lifted = true;
  for (int pass = 0; has_lifted && pass < kPassesMost; ++pass) {
    has_lifted = false;
    RolesOverTime roles(store_, {});
    WRACKLINE_TRY_VALUE(places, store_.records().find(0, Kind::kHold, 0, 0));
    for (const Place place : places) {
      if (store_.records().holds().find(place) == nullptr) continue;
      WRACKLINE_TRY_VALUE(state, store_.records().load(place));
      if (!state) continue;
      const HoldCause cause = hold_cause(state->fields);
      // An edited one was decided by a person; what is early a person can leave out and not take in, so a try to do that decides nothing.
      const bool is_decided = cause == HoldCause::kEarly ? built_in_of(state->fields).has_accepted(ReviewRule::kHeld) : state->edited;
      if (is_decided) continue;
      if (cause != HoldCause::kAuthor && cause != HoldCause::kRole && cause != HoldCause::kKind && cause != HoldCause::kEarly) continue;
      const HeldChanges changes = held_changes(state->fields);
      if (cause == HoldCause::kEarly) {  // Nobody can have seen what the hub itself has written meanwhile.
        WRACKLINE_TRY_VALUE(early, read({changes.log, changes.first}));
        if (come_early_.count(early.record) == 0) continue;
      }
      WRACKLINE_TRY_VALUE(again, objections_to(changes, roles));
      if (!again) continue;
      const Objections& objections = again->objections;
      const bool are_all_as_before = objections.size() == again->changes.size() &&
                                     std::all_of(objections.begin(), objections.end(), [cause](const auto& each) { return each.second.cause == cause; });
      if (are_all_as_before) continue;
      // Changes that are still objected to get a hold of their own; the others count from here on.
      for (const Coming& change : again->changes) written_.erase(change.id);
      WRACKLINE_TRY(write(objections, writer));
      WRACKLINE_TRY(note_former_roles(again->changes, writer));
      WRACKLINE_TRY(writer.lift(store_.logs().id_of(place), cause == HoldCause::kKind ? "this release of the hub knows its kind"
                                                                : cause == HoldCause::kEarly ? "the record has come that it changes"
                                                                                             : "its author has arrived and had the role for it"));
      has_lifted = true;
    }
  }
  return {};
}

}  // namespace wrackline
