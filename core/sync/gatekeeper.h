// The hub's judgement of what comes in: which changes it takes into account, and which it holds for an officer.
//
// Nothing is refused for who wrote it. A change whose author had no role for it, is nobody the hub knows, whose device has
// been revoked, or of whose kind this hub knows no rule is kept and forwarded like any other, and named by a hold record in
// the hub's own log; so every replica leaves it out of account in the same way, and an officer can take it in with one
// strike; but for what only the hub may write.
//
// Roles are judged as they were at the change's stamp, by the person's own history: what a keeper wrote before they
// left is theirs, however late it arrives. (How late it arrived shows in the trail, by the hub's arrivals.)
//
// Judged is when all has come in, each change against the whole, so that it does not matter in which order logs came:
//
//   - Changes that give and take roles come first, by (stamp, id): each counts for those after it when it is accepted
//     itself. Somebody who gives themselves a role they may not give has it for nothing.
//   - A device that was revoked before, or is revoked by a strike among what has come in and is accepted, brings held
//     changes. So much of it as is accepted then revokes nobody.
//   - Where the facility asks for it, what is more than care (needs_proof()) is held unless its author had proved to the hub that they
//     were at the device (sync/presences.h). Whether it asks is what its record said before they came in.
//   - There, what only the hub may write (is_at_hub()) is held whatever proves its author, and before all else, so that no officer
//     takes it in with what it came with. An edit that would let such a hold go is held too, also when the facility asks no more.
//   - Whoever had the role at the change's stamp may have it no more when it comes, and a device's clock says what it likes. Such a change
//     counts, and a record of kind 39 tells of it, for people to look at.
//   - An edit of a record that is not here yet does nothing, and is judged when the record's birth comes. The hub's own births do not come,
//     so an edit of one that the hub has not written is held; only the hub lets it go, when the birth comes from a device after all.
//   - What was held because its author, their role or a rule was not known is judged again when that may have come, unless
//     an officer has decided it. An accepted change stays accepted; one that was not proven waits for the officer.
#pragma once

#include <map>
#include <optional>
#include <set>
#include <string>
#include <vector>

#include "base/ids.h"
#include "base/result.h"
#include "model/authority.h"
#include "model/hold.h"
#include "store/store.h"
#include "sync/device_registry.h"
#include "sync/hub_holds.h"
#include "sync/presences.h"
#include "sync/roles_over_time.h"

namespace wrackline {

// Why a change has to be held.
struct Objection {
  HoldCause cause{};
  std::string note;
  friend bool operator==(const Objection& a, const Objection& b) { return a.cause == b.cause && a.note == b.note; }
};

// Writes what the hub puts into its own log meanwhile, in the transaction under way.
class HoldWriter {
 public:
  virtual ~HoldWriter() = default;
  virtual WallMs now() const = 0;  // The time on the hub's clock.
  virtual Status hold(const HeldChanges& changes, const Objection& objection) = 0;
  // Writes down that accepted changes by `author` came after they had lost the role for them; the earliest is stamped `written`.
  virtual Status note_former_role(RecordId author, const HeldChanges& changes, WallMs written) = 0;
  // Takes back a hold of the hub's own, with the reason.
  virtual Status lift(RecordId hold, const std::string& reason) = 0;
};

class Gatekeeper {
 public:
  Gatekeeper(Store& store, DeviceRegistry& devices) : store_(store), devices_(devices), presences_(store, devices) {}

  // Before anything is applied: which devices are revoked already, and what the facility asks for. What comes in may say otherwise,
  // and is judged by what was in force before it.
  Status begin();
  // Changes that have come in and been applied.
  void note(HeldChanges changes) { came_.push_back(changes); }
  // When all has come in: judges it, and writes the holds.
  Status conclude(HoldWriter& writer);

 private:
  struct Coming {
    ChangeId id;
    RecordId record;
    Stamp stamp;
    RecordId author;
    Act act;
    bool is_born = false;  // The record's birth is here.
    bool is_about(Kind kind) const { return act.kind == static_cast<std::uint32_t>(kind); }
  };
  using Objections = std::map<ChangeId, Objection>;

  Result<Coming> read(ChangeId id);
  Result<std::vector<Coming>> read_all();
  Result<std::optional<Objection>> judge(const Coming& change, RolesOverTime& roles);
  std::optional<Objection> judge_early(const Coming& change);
  // Judges acts that no device may have a say in, whoever wrote it and whatever proves them.
  Result<std::optional<Objection>> judge_at_hub(const Coming& change);
  Result<Objections> judge_all(const std::vector<Coming>& all, const Objections& laid_before);
  // Changes that came of forked logs and revoked devices, whatever they say.
  Result<Objections> of_whole_logs(const std::vector<Coming>& all);
  Result<bool> find_revoked();
  Status write(const Objections& objections, HoldWriter& writer);
  struct JudgedAgain {
    std::vector<Coming> changes;
    Objections objections;
  };
  Result<std::optional<JudgedAgain>> objections_to(const HeldChanges& changes, RolesOverTime& roles);
  Status judge_held_again(HoldWriter& writer);
  // Notes which of these accepted changes came after their author had lost the role for them.
  Status note_former_roles(const std::vector<Coming>& all, HoldWriter& writer);

  Store& store_;
  DeviceRegistry& devices_;
  Presences presences_;
  bool is_proof_required_ = false;
  WallMs now_ = 0;  // The hub's time in conclude().
  std::vector<HeldChanges> came_;
  std::map<PublicKey, std::string> revoked_;  // The device's name for each key.
  std::set<RecordId> come_early_;  // Records that came now, after edits of them, which are held.
  std::set<ChangeId> written_;  // Held by this conclude().
  std::optional<HubHolds> hub_holds_;  // The holds of this conclude().
};

}  // namespace wrackline
