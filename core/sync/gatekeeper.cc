#include "sync/gatekeeper.h"

#include <algorithm>

#include "base/wire.h"
#include "model/kinds.h"

namespace wrackline {
namespace {

// Field of the message Person.
constexpr std::uint32_t kRolesField = 2;

std::string what_is_done(const Act& act) {
  const KindRow* row = find_kind(act.kind);
  const std::string kind = row == nullptr ? "record" : std::string(row->name);
  if (act.birth) return "wrote a new " + kind;
  if (act.gives_approval) return "approved a " + kind;
  return (act.touches_review ? "reviewed a " : "changed a ") + kind;
}

}  // namespace

Result<const std::vector<Gatekeeper::Since>*> Gatekeeper::roles_over_time(RecordId person) {
  if (people_read_at_ != store_.records().changes_of(Kind::kPerson)) {
    people_.clear();
    people_read_at_ = store_.records().changes_of(Kind::kPerson);
  }
  const auto known = people_.find(person);
  if (known != people_.end()) return &known->second;
  std::vector<Since>& out = people_[person];
  std::vector<Bytes> storage;
  WRACKLINE_TRY_VALUE(history, store_.records().history(store_.logs().find_place(person), storage));
  if (history.kind != static_cast<std::uint32_t>(Kind::kPerson)) return &out;
  // The values of both fields as they were given, in the order of their stamps.
  std::vector<std::pair<std::size_t, Bytes>> given;
  for (const FoldedField& field : history.fields) {
    if (field.number != kRolesField && field.number != kStandingField) continue;
    for (const Assignment& a : field.assignments) {
      Bytes value = a.slice;
      given.emplace_back(a.input, std::move(value));
    }
  }
  std::stable_sort(given.begin(), given.end(), [](const auto& a, const auto& b) { return a.first < b.first; });
  Bytes roles, standing;
  for (const auto& [input, slice] : given) {
    WireReader reader(slice);
    WireField field;
    const bool is_standing = reader.next(field) && field.number == kStandingField;
    (is_standing ? standing : roles) = slice;
    const Stamp stamp = history.inputs[input].change.stamp;
    if (!out.empty() && out.back().stamp == stamp) out.pop_back();  // Both fields of one change.
    out.push_back({stamp, roles_of_person(roles + standing)});
  }
  if (out.empty()) out.push_back({history.inputs.front().change.stamp, 0});
  return &out;
}

Result<std::uint32_t> Gatekeeper::kind_of(const Change& change) {
  if (change.is_birth()) return change.kind;
  const Place record = store_.logs().find_place(change.record);
  WRACKLINE_TRY_VALUE(bytes, store_.logs().content_of(record));
  if (bytes.empty()) return 0u;  // Not here yet; nothing can be said against it.
  WRACKLINE_TRY_VALUE(birth, read_change(bytes));
  return birth.kind;
}

Result<std::optional<Objection>> Gatekeeper::judge(const Change& change, bool of_hub) {
  using Outcome = std::optional<Objection>;
  if (people_at_start_ == ~0ull) people_at_start_ = store_.records().changes_of(Kind::kPerson);
  if (of_hub) return Outcome();
  if (!change.author) return Outcome({HoldCause::kAuthor, "it has no author; only the hub itself writes without one"});
  WRACKLINE_TRY_VALUE(timeline, roles_over_time(change.author));
  if (timeline->empty()) {
    return Outcome({HoldCause::kAuthor, "its author " + to_text(change.author) + " is no person the hub knows of"});
  }
  // Somebody whose clock stood before their own record was made has the roles they were given first.
  Roles roles = timeline->front().roles;
  for (const Since& since : *timeline) {
    if (!(change.stamp < since.stamp)) roles = since.roles;
  }
  WRACKLINE_TRY_VALUE(kind, kind_of(change));
  Act act = act_of(kind, change.is_birth(), change.fields, change.clears);
  act.of_oneself = !change.is_birth() && change.record == change.author;
  std::string needed;
  if (may(roles, act, needed)) return Outcome();
  return Outcome({HoldCause::kRole, "its author " + what_is_done(act) + ", which is for " + needed});
}

void Gatekeeper::add(std::vector<Held>& held, ChangeId id, const Objection& objection) {
  Held* last = held.empty() ? nullptr : &held.back();
  if (last != nullptr && last->changes.log == id.log && last->changes.last + 1 == id.seq && last->objection == objection) {
    last->changes.last = id.seq;
  } else {
    held.push_back({{id.log, id.seq, id.seq}, objection});
  }
}

void Gatekeeper::hold(ChangeId id, const Objection& objection) {
  store_.records().hold_next(store_.logs().find_place(id));
  add(held_, id, objection);
}

Result<std::optional<Objection>> Gatekeeper::judge_anew(ChangeId id) {
  WRACKLINE_TRY_VALUE(bytes, store_.logs().content_of(store_.logs().find_place(id)));
  const Bytes copy(bytes);
  WRACKLINE_TRY_VALUE(change, read_change(copy));
  return judge(change, false);
}

Status Gatekeeper::conclude(HoldWriter& writer) {
  if (!held_.empty()) {
    std::vector<Held> final;
    std::vector<Place> acquitted;
    for (const Held& held : held_) {
      for (Seq seq = held.changes.first; seq <= held.changes.last; ++seq) {
        const ChangeId id{held.changes.log, seq};
        std::optional<Objection> objection = held.objection;
        if (held.objection.cause == HoldCause::kAuthor) {
          WRACKLINE_TRY_VALUE(anew, judge_anew(id));
          objection = anew;
        }
        if (objection) {
          add(final, id, *objection);
        } else {
          acquitted.push_back(store_.logs().find_place(id));
        }
      }
    }
    held_.clear();
    WRACKLINE_TRY(store_.records().take_in(acquitted));
    for (const Held& held : final) WRACKLINE_TRY(writer.hold(held.changes, held.objection));
  }
  return people_at_start_ != ~0ull && people_at_start_ != store_.records().changes_of(Kind::kPerson) ? lift_where_the_author_came(writer)
                                                                                           : Status();
}

Status Gatekeeper::lift_where_the_author_came(HoldWriter& writer) {
  WRACKLINE_TRY_VALUE(places, store_.records().find(0, Kind::kHold, 0, 0));
  for (const Place place : places) {
    if (store_.records().holds().find(place) == nullptr) continue;
    WRACKLINE_TRY_VALUE(state, store_.records().load(place));
    if (!state || hold_cause(state->fields) != HoldCause::kAuthor) continue;
    const HeldChanges changes = held_changes(state->fields);
    bool is_clear = static_cast<bool>(changes.log);
    for (Seq seq = changes.first; is_clear && seq <= changes.last; ++seq) {
      WRACKLINE_TRY_VALUE(objection, judge_anew({changes.log, seq}));
      is_clear = !objection;
    }
    if (is_clear) WRACKLINE_TRY(writer.lift(store_.logs().id_of(place), "its author has arrived and had the role for it"));
  }
  return {};
}

}  // namespace wrackline
