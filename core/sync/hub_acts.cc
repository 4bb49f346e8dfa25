#include "sync/hub_acts.h"

#include "base/wire.h"

namespace wrackline {
namespace {

// Numbers of the fields of the message HubAct.
constexpr std::uint32_t kPersonField = 1, kDeviceField = 2, kLogField = 3, kFirstField = 4, kLastField = 5, kAtField = 6;

}  // namespace

Bytes HubActs::fields(RecordId person, const Span& span, WallMs at) {
  Bytes out;
  append_record_ref_field(out, kPersonField, person);
  append_record_ref_field(out, kDeviceField, span.device);
  append_fixed64_field(out, kLogField, span.log.value);
  append_varint_field(out, kFirstField, span.first);
  append_varint_field(out, kLastField, span.last);
  append_varint_field(out, kAtField, at);
  return out;
}

Result<RecordId> HubActs::asked_from(ChangeId change, RecordId author) {
  WRACKLINE_TRY_VALUE(words, words_.of(author));
  for (const HubWords::Row& row : *words) {
    LogId log;
    Seq first = 0, last = 0;
    WireReader reader(row.brief);
    WireField field;
    while (reader.next(field)) {
      if (field.number == kLogField) log = LogId{field.scalar};
      if (field.number == kFirstField) first = static_cast<Seq>(field.scalar);
      if (field.number == kLastField) last = static_cast<Seq>(field.scalar);
    }
    if (log == change.log && first <= change.seq && change.seq <= last) return row.device;
  }
  return RecordId{};
}

}  // namespace wrackline
