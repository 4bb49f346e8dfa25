// The trail of one record: every assignment of every field, who, when, on what device, why.
#include "provenance/provenance_calls.h"
#include "provenance/trail_entry.h"
#include "reading/record_view.h"

namespace wrackline {

Status handle_trail(Replica& replica, const proto::TrailCall& call, proto::TrailReply& out) {
  const RecordId id = id_of(call.record());
  WRACKLINE_TRY_VALUE(state, require_record(replica, id, "showing a trail"));
  out.set_kind(state.kind);
  TrailWriter writer(replica);
  WRACKLINE_TRY_VALUE(chain, writer.belonging().chain_of(id));
  if (!chain.empty() && chain.front().row->happened_field != 0) out.set_happened_ms(Belonging::happened_ms(chain));
  std::vector<proto::TrailEntry> entries;
  WRACKLINE_TRY(writer.append_all(id, entries));
  for (proto::TrailEntry& entry : entries) *out.add_entries() = std::move(entry);
  return {};
}

}  // namespace wrackline
