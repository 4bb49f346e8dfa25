#include "sync/presences.h"

#include "base/built_in_fields.h"
#include "model/kinds.h"
#include "model/sign_in_rules.h"

namespace wrackline {

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
      Span span{id, presence_span(row.brief)};
      span.is.person = person;
      span.is.device = store_.logs().id_of(row.key.detail);
      spans.push_back(span);
    }
  }
  return &people_.emplace(person, std::move(spans)).first->second;
}

Result<std::optional<Presences::Proof>> Presences::proof(const Question& question) {
  std::optional<Proof> best;
  WRACKLINE_TRY_VALUE(spans, of_person(question.person));
  if (spans->empty()) return best;
  WRACKLINE_TRY_VALUE(known, devices_.find(question.device));
  // Another PIN is chosen where the one before may be known to others: what was proven with that ends then.
  WRACKLINE_TRY_VALUE(person, store_.records().load(store_.logs().find_place(question.person)));
  const WallMs pin_since = person ? sign_in_person(person->fields).pin_set_ms : 0;
  for (const Span& span : *spans) {
    if (!known.record || span.is.device != known.record || !covers(span.is, question.stamped, question.arrived)) continue;
    if (span.is.from < pin_since && question.stamped >= pin_since) continue;
    const bool is_better = !best || span.is.until > best->until || (span.is.until == best->until && span.presence < best->presence);
    if (is_better) best = Proof{span.presence, span.is.until};
  }
  return best;
}

Result<bool> Presences::has_proven(RecordId person, const PublicKey& device, const Hash& pin_mark, WallMs since) {
  WRACKLINE_TRY_VALUE(spans, of_person(person));
  WRACKLINE_TRY_VALUE(known, devices_.find(device));
  for (const Span& span : *spans) {
    if (known.record && span.is.device == known.record && span.is.from >= since && ByteView(span.is.pin_mark) == view(pin_mark)) return true;
  }
  return false;
}

}  // namespace wrackline
