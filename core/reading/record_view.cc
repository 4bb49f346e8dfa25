#include "reading/record_view.h"

#include <map>

#include "model/countersigning.h"
#include "model/kinds.h"
#include "reading/areas.h"
#include "reading/authorship.h"
#include "reading/countersigned.h"

namespace wrackline {

Result<RecordState> require_record(Replica& replica, ChangeId id, const char* doing) {
  WRACKLINE_TRY_VALUE(state, replica.store().records().load(replica.store().logs().find_place(id)));
  if (!state || state->kind == 0) {
    return fail(ErrorCode::kNotFound, std::string(doing) + ": record " + to_text(id) + " is not held here; nothing was changed; check its id, or exchange first");
  }
  return *state;
}

Status put_view(Replica& replica, Place place, const RecordState& state, proto::RecordView& out) {
  put_id(replica.store().logs().id_of(place), *out.mutable_record());
  out.set_kind(state.kind);
  out.set_fields(state.fields);
  const BuiltIn built_in = built_in_of(state.fields);
  out.set_struck(built_in.struck);
  if (built_in.folded_into) put_id(built_in.folded_into, *out.mutable_folded_into());
  for (const Disagreement& d : read_disagreements(state.disagreements)) out.add_disagreements(d.field);
  WRACKLINE_TRY_VALUE(whole, replica.store().records().history(place));
  const Folded& history = whole->folded;
  out.set_edits(static_cast<std::uint32_t>(history.inputs.size()) - (history.kind != 0 ? 1 : 0));
  std::map<std::size_t, std::vector<std::uint32_t>> standing;
  for (const auto& [number, field] : history.fields) {
    for (const Assignment& a : field.assignments) {
      if (a.head) standing[a.input].push_back(number);
    }
  }
  for (const auto& [input, fields] : standing) {
    proto::Replaced& head = *out.add_heads();
    head.set_log(history.inputs[input].id.log.value);
    head.set_seq(history.inputs[input].id.seq);
    head.set_check(history.inputs[input].check);
    for (std::uint32_t field : fields) head.add_fields(field);
  }
  if (word_in(history) == Word::kAsked) out.add_unconfirmed(word_field(history.kind));
  WRACKLINE_TRY_VALUE(area, Areas(replica).name_in(state.kind, state.fields));
  out.set_area_name(area);
  for (const FoldInput& input : history.inputs) {
    if (!input.change.is_birth()) continue;
    if (input.change.author) put_id(input.change.author, *out.mutable_author());
    out.set_entered_ms(input.change.entered_ms());
    WRACKLINE_TRY_VALUE(arrival, replica.store().records().arrivals().covering(place, replica.devices().hub()));
    WRACKLINE_TRY_VALUE(authorship, authorship_of(replica, place, input.change, arrival ? arrival->held_ms : replica.now()));
    out.set_authorship(authorship);
  }
  return {};
}

}  // namespace wrackline
