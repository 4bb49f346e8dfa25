#include "store/hub_lineage.h"

#include <algorithm>

namespace wrackline {

HubLineage::HubLineage(const PublicKey& pinned, std::vector<HubKeyRecord> records) {
  // Where one key names two continuations the order decides, so it must not be that of arrival.
  std::sort(records.begin(), records.end(), [](const HubKeyRecord& a, const HubKeyRecord& b) { return a.id < b.id; });
  follow(pinned, records);
}

// A key that comes after another is heard before the rest of that one's log: it says where the log ends.
void HubLineage::follow(const PublicKey& key, const std::vector<HubKeyRecord>& records) {
  if (is_key(key)) return;
  keys_.push_back(key);
  for (const HubKeyRecord& record : records) {
    if (record.by != key || record.key == key || record.id.seq > reach(record.id.log, key)) continue;
    for (const ChangeId& end : record.ends) {
      Seq& last = ends_[record.key][end.log];
      last = std::max(last, end.seq);
    }
    follow(record.key, records);
  }
}

bool HubLineage::is_key(const PublicKey& key) const { return std::find(keys_.begin(), keys_.end(), key) != keys_.end(); }

PublicKey HubLineage::in_use() const {
  const auto last = std::find_if(keys_.rbegin(), keys_.rend(), [this](const PublicKey& key) { return !is_former(key); });
  return last == keys_.rend() ? PublicKey{} : *last;
}

Seq HubLineage::reach(LogId log, const PublicKey& key) const {
  if (!is_key(key)) return 0;
  const auto ends = ends_.find(key);
  if (ends == ends_.end()) return kSeqMax;
  const auto end = ends->second.find(log);
  return end == ends->second.end() ? 0 : end->second;
}

}  // namespace wrackline
