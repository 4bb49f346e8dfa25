// This is a note of the keys that the hub has had, by somebody who stands beside it: for oracles, which take no word of the
// core's for it.
#pragma once

#include <algorithm>
#include <map>
#include <vector>

#include "store/log_table.h"

namespace wrackline {

class HubKeys {
 public:
  HubKeys() = default;
  explicit HubKeys(const PublicKey& first) { keys_.push_back({first, {}}); }

  const PublicKey& first() const { return keys_.front().key; }
  const PublicKey& current() const { return keys_.back().key; }

  // The hub goes on under `next`. What counts of the key before is what `at_hub` holds of its logs at that moment.
  void hand_over(const PublicKey& next, const LogTable& at_hub, bool is_told_by_people) {
    for (const auto& [id, log] : at_hub.all()) {
      if (log.is_of(current()) && !log.branch) keys_.back().ends[id] = log.head.seq;
    }
    keys_.push_back({next, {}});
    if (is_told_by_people) first_to_pin_ = keys_.size() - 1;
  }

  // Whether a change is the hub's word.
  bool speaks(const LogEntry& log, Seq seq) const {
    if (!log.opening || log.branch) return false;
    const auto found = find(log.opening->device);
    if (found == keys_.end()) return false;
    if (found->key == current()) return true;
    const auto end = found->ends.find(log.id);
    return end != found->ends.end() && seq <= end->second;
  }

  // From this pinned key no way leads to the current one, so a person has to tell.
  bool is_lost(const PublicKey& pinned) const {
    const auto found = find(pinned);
    return found == keys_.end() || static_cast<std::size_t>(found - keys_.begin()) < first_to_pin_;
  }

 private:
  struct Key {
    PublicKey key{};
    std::map<LogId, Seq> ends;
  };
  std::vector<Key>::const_iterator find(const PublicKey& key) const {
    return std::find_if(keys_.begin(), keys_.end(), [&](const Key& each) { return each.key == key; });
  }
  std::vector<Key> keys_;
  std::size_t first_to_pin_ = 0;
};

}  // namespace wrackline
