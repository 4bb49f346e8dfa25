// This file says what stands out of account: the changes a hold names, for the officer who decides.
#include <algorithm>

#include "model/hold.h"
#include "model/kinds.h"
#include "provenance/provenance_calls.h"
#include "reading/record_view.h"
#include "reading/roster.h"

namespace wrackline {
namespace {

constexpr int kChangesAtOnce = 500;

}  // namespace

Status handle_held(Replica& replica, const proto::HeldCall& call, proto::HeldReply& out) {
  const char* doing = "showing what is held";
  WRACKLINE_TRY_VALUE(hold, require_record(replica, id_of(call.hold()), doing));
  if (hold.kind != static_cast<std::uint32_t>(Kind::kHold)) {
    return fail(ErrorCode::kInvalid, std::string(doing) + ": the record is no hold; `wrack review` lists them");
  }
  LogTable& logs = replica.store().logs();
  Roster roster(replica);
  const HeldChanges held = held_changes(hold.fields);
  for (Seq seq = std::max(held.first, call.after_seq() + 1); held.log && seq <= held.last; ++seq) {
    if (out.changes_size() == kChangesAtOnce) {
      out.set_more(true);
      break;
    }
    proto::HeldChange& view = *out.add_changes();
    const ChangeId id{held.log, seq};
    put_id(id, *view.mutable_change());
    WRACKLINE_TRY_VALUE(bytes, logs.content_of(logs.find_place(id)));
    if (bytes.empty()) continue;
    const Bytes content(bytes);
    WRACKLINE_TRY_VALUE(change, read_change(content));
    view.set_present(true);
    view.set_birth(change.is_birth());
    put_id(change.is_birth() ? id : change.record, *view.mutable_record());
    view.set_kind(change.kind);
    if (!change.is_birth()) {
      WRACKLINE_TRY_VALUE(birth_bytes, logs.content_of(logs.find_place(change.record)));
      if (!birth_bytes.empty()) {
        WRACKLINE_TRY_VALUE(birth, read_change(birth_bytes));
        view.set_kind(birth.kind);
      }
    }
    view.set_fields(Bytes(change.fields));
    view.set_reason(Bytes(change.reason));
    view.set_entered_ms(change.entered_ms());
    if (change.author) {
      put_id(change.author, *view.mutable_author());
      WRACKLINE_TRY_VALUE(name, roster.name_of(change.author));
      view.set_author_name(name);
    }
    const LogEntry* log = logs.find(held.log);
    if (log != nullptr && log->opening) {
      WRACKLINE_TRY_VALUE(device, replica.devices().find(log->opening->device));
      view.set_device_name(device.name);
    }
  }
  return {};
}

}  // namespace wrackline
