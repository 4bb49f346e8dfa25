// The hub's judgement of what comes in: which changes it takes into account, and which it holds for an officer.
//
// Nothing is refused for who wrote it. A change whose author had no role for it, is nobody the hub knows, or whose
// device has been revoked is kept and forwarded like any other, and named by a hold record in the hub's own log; so
// every replica leaves it out of account in the same way, and an officer can take it in with one strike.
//
// Roles are judged as they were at the change's stamp, by the person's own history: what a keeper wrote before they
// left is theirs, however late it arrives. (How late it arrived shows in the trail, by the hub's receipts.)
#pragma once

#include <map>
#include <optional>
#include <string>
#include <vector>

#include "base/ids.h"
#include "base/result.h"
#include "model/authority.h"
#include "model/hold.h"
#include "store/store.h"

namespace wrackline {

// Why a change has to be held.
struct Objection {
  HoldCause cause{};
  std::string note;
  friend bool operator==(const Objection& a, const Objection& b) { return a.cause == b.cause && a.note == b.note; }
};

// What the hub writes into its own log meanwhile, in the transaction under way.
class HoldWriter {
 public:
  virtual ~HoldWriter() = default;
  virtual Status hold(const HeldChanges& changes, const Objection& objection) = 0;
  // Takes back a hold of the hub's own, with the reason.
  virtual Status lift(RecordId hold, const std::string& reason) = 0;
};

class Gatekeeper {
 public:
  explicit Gatekeeper(Store& store) : store_(store) {}

  // Judges a change before it is applied. `of_hub`: it stands in a log of the hub itself.
  Result<std::optional<Objection>> judge(const Change& change, bool of_hub);
  // Keeps a change out of account; call it before the change is applied.
  void hold(ChangeId id, const Objection& objection);

  // When everything has come in: looks once more at changes whose author was not known, since the author may have
  // come behind them, and writes the holds.
  Status conclude(HoldWriter& writer);

 private:
  struct Held {
    HeldChanges changes;
    Objection objection;
  };
  // Roles from this stamp on.
  struct Since {
    Stamp stamp;
    Roles roles = 0;
  };
  // Empty: no person.
  Result<const std::vector<Since>*> roles_over_time(RecordId person);
  Result<std::uint32_t> kind_of(const Change& change);
  static void add(std::vector<Held>& held, ChangeId id, const Objection& objection);
  Result<std::optional<Objection>> judge_anew(ChangeId id);
  Status lift_where_the_author_came(HoldWriter& writer);

  Store& store_;
  std::vector<Held> held_;
  std::map<RecordId, std::vector<Since>> people_;
  std::uint64_t people_read_at_ = ~0ull;    // Projection::changes_of() then.
  std::uint64_t people_at_start_ = ~0ull;
};

}  // namespace wrackline
