// The audit view of one record: every assignment of every field, who, when, on what device, why.
#include <algorithm>
#include <map>

#include "call/handlers.h"
#include "base/wire.h"
#include "model/kinds.h"
#include "sync/device_registry.h"

namespace wrackline {
namespace {

// The first field of this number, or one without a value.
WireField find_field(ByteView fields, std::uint32_t number) {
  WireReader reader(fields);
  WireField field;
  while (reader.next(field)) {
    if (field.number == number) return field;
  }
  return {};
}

// What is the same for all assignments of one change.
Status put_origin(Replica& replica, const FoldInput& input, proto::TrailEntry& out) {
  Store& store = replica.store();
  put_id(input.id, *out.mutable_change());
  out.set_entered_ms(input.change.entered_ms());
  out.set_reason(Bytes(input.change.reason));
  out.set_birth(input.change.is_birth());
  if (input.change.author) {
    put_id(input.change.author, *out.mutable_author());
    WRACKLINE_TRY_VALUE(person, store.records().load(store.logs().find_place(input.change.author)));
    if (person) out.set_author_name(Bytes(find_field(person->fields, 1).bytes));
  }
  const LogEntry* log = store.logs().find(input.id.log);
  if (log != nullptr && log->device) {
    WRACKLINE_TRY_VALUE(device, replica.devices().find(*log->device));
    out.set_device_name(device.name);
  }
  WRACKLINE_TRY_VALUE(held, store.receipts().held_ms(store.logs().find_place(input.id)));
  if (held) out.set_held_ms(*held);
  const WallMs reference = held ? *held : replica.now();
  out.set_clock_suspect(input.change.entered_ms() > reference + HybridClock::kAheadMaxMs);
  return {};
}

// True for an edit that stands against a strike whose author had not seen it.
bool is_against_strike(const Folded& history, std::size_t input) {
  for (const FoldedField& field : history.fields) {
    if (std::find(field.against.begin(), field.against.end(), input) != field.against.end()) return true;
  }
  return false;
}

// The values an assignment's change says it replaces, for this field.
void put_replaced(const Folded& history, const FoldedField& field, const FoldInput& by, proto::TrailEntry& out) {
  for (const Replaced& replaced : by.change.replaces) {
    if (std::find(replaced.fields.begin(), replaced.fields.end(), field.number) == replaced.fields.end()) continue;
    for (const Assignment& a : field.assignments) {
      if (history.inputs[a.input].id == replaced.change && history.inputs[a.input].check == replaced.check) {
        out.add_replaced(a.slice);
      }
    }
  }
}

}  // namespace

Status handle_trail(Replica& replica, const proto::TrailCall& call, proto::TrailReply& out) {
  const RecordId id = id_of(call.record());
  WRACKLINE_TRY_VALUE(state, require_record(replica, id, "showing a trail"));
  out.set_kind(state.kind);
  const KindRow* row = find_kind(state.kind);
  if (row != nullptr && row->happened_field != 0) {
    out.set_happened_ms(find_field(state.fields, row->happened_field).scalar);
  }
  std::vector<Bytes> storage;
  WRACKLINE_TRY_VALUE(history, replica.store().records().history(replica.store().logs().find_place(id), storage));

  std::vector<std::pair<std::size_t, proto::TrailEntry>> entries;
  for (const FoldedField& field : history.fields) {
    for (const Assignment& assignment : field.assignments) {
      const FoldInput& input = history.inputs[assignment.input];
      auto& [order, entry] = entries.emplace_back(assignment.input, proto::TrailEntry());
      WRACKLINE_TRY(put_origin(replica, input, entry));
      entry.set_field(field.number);
      entry.set_value(assignment.slice);
      entry.set_head(assignment.head);
      entry.set_against_strike(assignment.head && is_against_strike(history, assignment.input));
      entry.set_disagrees(entry.against_strike() || (assignment.head && field.in_disagreement()));
      put_replaced(history, field, input, entry);
    }
  }
  // The inputs are sorted by (stamp, change); within a change the fields by number.
  std::stable_sort(entries.begin(), entries.end(), [](const auto& a, const auto& b) { return a.first < b.first; });
  for (auto& [order, entry] : entries) *out.add_entries() = std::move(entry);
  return {};
}

}  // namespace wrackline
