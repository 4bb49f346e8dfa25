#include "sync/hub_words.h"

#include "base/built_in_fields.h"

namespace wrackline {

Result<const std::vector<HubWords::Row>*> HubWords::of(RecordId person) {
  const std::uint64_t now = store_.records().changes_of(kind_);
  if (read_at_ != now) people_.clear();
  read_at_ = now;
  const auto known = people_.find(person);
  if (known != people_.end()) return &known->second;
  std::vector<Row> out;
  const Place place = store_.logs().find_place(person);
  if (place != 0) {
    WRACKLINE_TRY_VALUE(rows, store_.records().find_brief(place, kind_, 0, 0));
    for (const KeyRow& row : rows) {
      const RecordId id = store_.logs().id_of(row.record);
      const LogEntry* log = store_.logs().find(id.log);
      // Anybody can write a record that looks like one.
      if (log == nullptr || !devices_.hub().speaks(*log, id.seq) || !built_in_of(row.brief).in_account() || row.key.detail == kDetailAbsent) continue;
      out.push_back({id, store_.logs().id_of(row.key.detail), Bytes(row.brief)});
    }
  }
  return &people_.emplace(person, std::move(out)).first->second;
}

}  // namespace wrackline
