// The part of the projection in which holds take changes out of account, and back in. The rules stand in hold_table.h.
#include "store/projection.h"

#include <algorithm>

#include "base/planted.h"
#include "model/hold.h"

namespace wrackline {

bool Projection::is_of_hub(Place place) const {
  const LogEntry* log = logs_.find(logs_.id_of(place).log);
  return log != nullptr && hub_.speaks(*log, seq_of(place));
}

// Anybody can write a record that looks like a hold; the hub's alone hold something.
Status Projection::add_hold(Place hold, const Change& birth) {
  if (!is_of_hub(hold)) return {};
  // At once, and whatever an officer has decided: what comes of the branch next could not be taken in otherwise.
  if (const std::optional<NamedBranch> fork = named_branch(birth.fields)) {
    const auto start = Frontier::read(fork->after, fork->start);
    const auto opening = read_opening(fork->opening);
    const Branch branch{fork->root, fork->of, fork->after, fork->first};
    if (start && opening) WRACKLINE_TRY(logs_.open_branch(held_changes(birth.fields).log, branch, *start, *opening));
  }
  WRACKLINE_TRY(holds_.add(hold, birth.stamp));
  WRACKLINE_TRY_VALUE(edits, edits_.with(hold).integers());
  for (const Place edit : edits) holds_.add_edit(edit, hold);
  holds_to_apply_.insert(holds_.order_of(hold));
  return {};
}

Status Projection::apply_hold(Place hold) {
  if (to_fold_.erase(hold) != 0) WRACKLINE_TRY(refold(hold));
  WRACKLINE_TRY_VALUE(state, load(hold));
  const BuiltIn built_in = state ? built_in_of(state->fields) : BuiltIn();
  HeldRange wanted;
  if (state) {
    const HeldChanges named = held_changes(state->fields);
    if (named.log && built_in.in_account()) {
      WRACKLINE_TRY_VALUE(of, logs_.intern(named.log));
      wanted = {place_of(of->no, named.first), place_of(of->no, named.last)};
    }
  }
  const auto& accepted = built_in.accepted_rules;
  const bool is_left_out = std::find(accepted.begin(), accepted.end(),
                                     static_cast<std::uint32_t>(ReviewRule::kHeld)) != accepted.end();
  WRACKLINE_TRY(set_review(ReviewRule::kHeld, hold, wanted.first != 0 && !is_left_out));
  const HeldRange* known = holds_.find(hold);
  const HeldRange before = known == nullptr ? HeldRange() : *known;
  if (before == wanted) return {};

  std::vector<std::pair<Place, bool>> concerned;
  for (const HeldRange& range : {before, wanted}) {
    const LogEntry* of = logs_.find(logs_.id_of(range.first).log);
    if (of == nullptr) continue;
    const HeldRange& other = range == before ? wanted : before;
    // A hold may name what is not here, and of a branch what stands in the log it leaves.
    const Place first = std::max(range.first, place_of(of->no, of->base() + 1)), last = std::min(range.last, place_of(of->no, of->head.seq));
    for (Place place = first; place <= last; ++place) {
      if (!other.has(place)) concerned.emplace_back(place, holds_.is_held(place));
    }
  }
  WRACKLINE_TRY(holds_.put(hold, wanted));
  if (planted("lift-not-applied")) return {};
  for (const auto& [place, was_held] : concerned) {
    if (holds_.is_held(place) != was_held) WRACKLINE_TRY(reproject_change(place));
  }
  return {};
}

Status Projection::reproject_change(Place place) {
  WRACKLINE_TRY_VALUE(bytes, logs_.content_of(place));
  const Bytes copy(bytes);
  WRACKLINE_TRY_VALUE(change, read_change(copy));
  if (!change.is_birth()) {
    WRACKLINE_TRY_VALUE(record, record_of(change));
    if (!counts_at_all(place, record)) return {};
    if (!planted("keep-a-history")) histories_.erase(record);
    if (planted("hold-not-heeded-again") && holds_.knows(record)) return {};
    // A hold that was decided by this edit is earlier than the one that moves it, so it is still to come.
    return fold_later(record);
  }
  histories_.erase(place);
  Statement& row = record_.with(place);
  WRACKLINE_TRY_VALUE(is_edited, row.step());
  row.reset();
  if (is_edited) return fold_later(place);
  if (!holds_.is_held(place)) return apply_birth(place, change);
  note_kind(change.kind);
  WRACKLINE_TRY_VALUE(keyed, key_of(change.kind, merged_birth(change.fields)));
  return take_out_of_key(keyed.key, place);
}

}  // namespace wrackline
