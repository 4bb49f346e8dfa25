#include "sync/hub_acts.h"

#include "base/built_in_fields.h"
#include "base/wire.h"
#include "model/kinds.h"

namespace wrackline {
namespace {

// Of the message HubAct.
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

Result<const std::vector<HubActs::Span>*> HubActs::of_person(RecordId person) {
  const std::uint64_t now = store_.records().changes_of(Kind::kHubAct);
  if (read_at_ != now) people_.clear();
  read_at_ = now;
  const auto known = people_.find(person);
  if (known != people_.end()) return &known->second;
  std::vector<Span> spans;
  const Place place = store_.logs().find_place(person);
  if (place != 0) {
    WRACKLINE_TRY_VALUE(rows, store_.records().find_brief(place, Kind::kHubAct, 0, 0));
    for (const KeyRow& row : rows) {
      const RecordId id = store_.logs().id_of(row.record);
      const LogEntry* log = store_.logs().find(id.log);
      // Anybody can write a record that looks like one.
      if (log == nullptr || !devices_.hub().speaks(*log, id.seq) || !built_in_of(row.brief).in_account() || row.key.detail == kDetailAbsent) continue;
      Span span;
      span.device = store_.logs().id_of(row.key.detail);
      WireReader reader(row.brief);
      WireField field;
      while (reader.next(field)) {
        if (field.number == kLogField) span.log = LogId{field.scalar};
        if (field.number == kFirstField) span.first = static_cast<Seq>(field.scalar);
        if (field.number == kLastField) span.last = static_cast<Seq>(field.scalar);
      }
      spans.push_back(span);
    }
  }
  return &people_.emplace(person, std::move(spans)).first->second;
}

Result<RecordId> HubActs::asked_from(ChangeId change, RecordId author) {
  WRACKLINE_TRY_VALUE(spans, of_person(author));
  for (const Span& span : *spans) {
    if (span.log == change.log && span.first <= change.seq && change.seq <= span.last) return span.device;
  }
  return RecordId{};
}

}  // namespace wrackline
