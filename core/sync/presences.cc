#include "sync/presences.h"

#include "base/built_in_fields.h"
#include "base/wire.h"
#include "model/kinds.h"

namespace wrackline {
namespace {

constexpr std::uint32_t kFromField = 3, kUntilField = 4;

}  // namespace

Result<const std::vector<Presences::Span>*> Presences::of_person(RecordId person) {
  const std::uint64_t now = store_.records().changes_of(Kind::kPresence);
  if (read_at_ != now) people_.clear();
  read_at_ = now;
  const auto known = people_.find(person);
  if (known != people_.end()) return &known->second;
  std::vector<Span> spans;
  const Place place = store_.logs().find_place(person);
  if (place != 0) {
    WRACKLINE_TRY_VALUE(rows, store_.records().find_brief(place, Kind::kPresence, 0, 0));
    for (const KeyRow& row : rows) {
      const RecordId id = store_.logs().id_of(row.record);
      const LogEntry* log = store_.logs().find(id.log);
      // Anybody can write a record that looks like one.
      if (log == nullptr || !devices_.hub().speaks(*log, id.seq) || !built_in_of(row.brief).in_account() || row.key.detail == kDetailAbsent) continue;
      Span span;
      span.presence = id;
      span.device = store_.logs().id_of(row.key.detail);
      WireReader reader(row.brief);
      WireField field;
      while (reader.next(field)) {
        if (field.number == kFromField) span.from = field.scalar;
        if (field.number == kUntilField) span.until = field.scalar;
      }
      spans.push_back(span);
    }
  }
  return &people_.emplace(person, std::move(spans)).first->second;
}

Result<const Presences::Span*> Presences::find(RecordId person, const PublicKey& device, WallMs stamped) {
  WRACKLINE_TRY_VALUE(spans, of_person(person));
  if (spans->empty()) return nullptr;
  WRACKLINE_TRY_VALUE(known, devices_.find(device));
  const Span* best = nullptr;
  for (const Span& span : *spans) {
    if (!known.record || span.device != known.record || stamped + kBeforeMs < span.from || stamped > span.until) continue;
    const bool is_better = best == nullptr || span.until > best->until || (span.until == best->until && span.presence < best->presence);
    if (is_better) best = &span;
  }
  return best;
}

Result<std::optional<RecordId>> Presences::proof(RecordId person, const PublicKey& device, WallMs stamped) {
  WRACKLINE_TRY_VALUE(span, find(person, device, stamped));
  return span == nullptr ? std::optional<RecordId>() : std::optional<RecordId>(span->presence);
}

Result<WallMs> Presences::proven_until(RecordId person, const PublicKey& device, WallMs stamped) {
  WRACKLINE_TRY_VALUE(span, find(person, device, stamped));
  return span == nullptr ? WallMs{0} : span->until;
}

}  // namespace wrackline
