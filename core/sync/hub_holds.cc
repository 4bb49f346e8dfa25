#include "sync/hub_holds.h"

#include "model/hold.h"
#include "model/kinds.h"

namespace wrackline {

namespace {

// Nobody takes these in: the hub writes it itself, or lets go what was early when the record comes.
bool is_for_nobody(HoldCause cause) { return cause == HoldCause::kAtHub || cause == HoldCause::kEarly; }

}  // namespace

bool decides_on_hold(const Act& act) { return act.kind == static_cast<std::uint32_t>(Kind::kHold) && (act.touches_others || act.touches_fold); }

Result<Bytes> HubHolds::born_as(RecordId hold) {
  WRACKLINE_TRY_VALUE(bytes, store_.logs().content_of(store_.logs().find_place(hold)));
  if (bytes.empty()) return Bytes();
  WRACKLINE_TRY_VALUE(birth, read_change(bytes));
  return Bytes(birth.fields);
}

Result<bool> HubHolds::is_of_hub(ChangeId id) {
  WRACKLINE_TRY_VALUE(bytes, store_.logs().content_of(store_.logs().find_place(id)));
  if (bytes.empty()) return false;
  const Bytes content(bytes);
  WRACKLINE_TRY_VALUE(change, read_change(content));
  std::uint32_t kind = change.kind;
  if (!change.is_birth()) {
    WRACKLINE_TRY_VALUE(birth_bytes, store_.logs().content_of(store_.logs().find_place(change.record)));
    if (birth_bytes.empty()) return false;
    WRACKLINE_TRY_VALUE(birth, read_change(birth_bytes));
    kind = birth.kind;
  }
  const Act act = act_of(kind, change.is_birth(), change.author, change.fields, change.clears);
  if (is_at_hub(act)) return true;
  if (!decides_on_hold(act)) return false;
  WRACKLINE_TRY_VALUE(of_another, born_as(change.record));
  return is_for_nobody(hold_cause(of_another));
}

Result<bool> HubHolds::has(RecordId hold, bool is_asked) {
  const auto known = known_.find(hold);
  if (known != known_.end()) return known->second;
  WRACKLINE_TRY_VALUE(fields, born_as(hold));
  bool is_found = is_for_nobody(hold_cause(fields));
  const HeldChanges held = is_asked ? held_changes(fields) : HeldChanges();
  for (Seq seq = held.first; held.log && seq <= held.last && !is_found; ++seq) {
    WRACKLINE_TRY_VALUE(is_one, is_of_hub({held.log, seq}));
    is_found = is_one;
  }
  known_[hold] = is_found;
  return is_found;
}

}  // namespace wrackline
