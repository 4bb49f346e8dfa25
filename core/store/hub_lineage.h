// This file knows which keys are the hub's, and how far each log of theirs counts as the hub's word. Whatever asks
// "is this the hub?" (devices, holds, arrivals, the order of an exchange, an evidence file) asks here.
//
// One key a person has compared: the pinned one. Every other follows from it by records of kind `device` with `of_hub`
// that stand in a log of a key which is the hub's already: the key before names the key that comes after it, and the
// key after names the one before, with the ends of its logs. So a replica pinned at either knows both. Behind those
// ends the old key's word is nobody's: whoever may have got hold of it can add nothing.
//
// Pure: the same pinned key and the same records make the same lineage, in whatever order the records came.
#pragma once

#include <map>
#include <vector>

#include "base/ids.h"
#include "crypto/signing.h"
#include "store/log_table.h"

namespace wrackline {

// A record that names a key of the hub, by its birth.
struct HubKeyRecord {
  ChangeId id;
  PublicKey by{};   // The key of the log it stands in.
  PublicKey key{};  // The one it names.
  std::vector<ChangeId> ends;  // Not empty: the hub uses the key no more.
};

class HubLineage {
 public:
  HubLineage() = default;  // Nobody is the hub.
  HubLineage(const PublicKey& pinned, std::vector<HubKeyRecord> records);

  bool is_key(const PublicKey& key) const;
  // A key of the hub's that it uses no more.
  bool is_former(const PublicKey& key) const { return is_key(key) && ends_.count(key) != 0; }
  // How far a log of this key is the hub's word: to its end (kSeqMax), up to a change, or not at all (0).
  Seq reach(LogId log, const PublicKey& key) const;
  // Nothing in a branch counts: the hub itself never continues its log twice.
  bool speaks(const LogEntry& log, Seq seq) const { return log.opening && !log.branch && seq <= reach(log.id, log.opening->device); }

  // The one that the hub uses now, as far as is known here: the last to which it was handed over.
  PublicKey in_use() const;

  // The pinned one first.
  const std::vector<PublicKey>& keys() const { return keys_; }

 private:
  void follow(const PublicKey& key, const std::vector<HubKeyRecord>& records);
  std::vector<PublicKey> keys_;
  std::map<PublicKey, std::map<LogId, Seq>> ends_;
};

}  // namespace wrackline
