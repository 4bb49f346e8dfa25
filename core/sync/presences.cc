#include "sync/presences.h"

#include "base/planted.h"
#include "model/presence.h"
#include "model/sign_in_rules.h"

namespace wrackline {

Result<std::optional<Presences::Proof>> Presences::proof(const Question& question) {
  std::optional<Proof> best;
  WRACKLINE_TRY_VALUE(words, words_.of(question.person));
  if (words->empty()) return best;
  WRACKLINE_TRY_VALUE(known, devices_.find(question.device));
  // Another PIN is chosen where the one before may be known to others: what was proven with that ends then.
  WRACKLINE_TRY_VALUE(person, store_.records().load(store_.logs().find_place(question.person)));
  const WallMs pin_since = person ? sign_in_person(person->fields).pin_set_ms : 0;
  for (const HubWords::Row& row : *words) {
    const PresenceSpan span = presence_span(row.brief);
    if (!known.record || (row.device != known.record && !planted("proof-at-another-device"))) continue;
    if (!covers(span, question.stamped, question.arrived) && !planted("proof-without-end")) continue;
    if (span.from < pin_since && question.stamped >= pin_since) continue;
    const bool is_better = !best || span.until > best->until || (span.until == best->until && row.record < best->presence);
    if (is_better) best = Proof{row.record, span.until};
  }
  return best;
}

Result<bool> Presences::has_proven(RecordId person, const PublicKey& device, const Hash& pin_mark, WallMs since) {
  WRACKLINE_TRY_VALUE(words, words_.of(person));
  WRACKLINE_TRY_VALUE(known, devices_.find(device));
  for (const HubWords::Row& row : *words) {
    const PresenceSpan span = presence_span(row.brief);
    if (known.record && row.device == known.record && span.from >= since && ByteView(span.pin_mark) == view(pin_mark)) return true;
  }
  return false;
}

}  // namespace wrackline
