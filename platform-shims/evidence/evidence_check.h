// Whether an evidence file proves what it says: chains, seals, receipts and devices checked from its bytes
// alone.
#pragma once

#include <map>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "evidence_file.h"
#include "log/change.h"

namespace wrackline::evidence {

// A device by the hub's log, as far as the file holds that.
struct KnownDevice {
  std::string name;
  RecordId record;
  WallMs enrolled_ms = 0;
  bool is_revoked = false;
};

// A change whose seal holds, read. Its views point into `content`, which a move of the struct leaves in
// place.
struct ProvenChange {
  ChangeId id;
  PublicKey device{};
  std::unique_ptr<const Bytes> content;  // References read as a change of a branch means them.
  std::uint32_t check = 0;               // See log/change.h, Replaced.
  Change change;
  RecordId record() const { return change.is_birth() ? id : change.record; }
};

// The hub's word of when it held a change.
struct Held {
  Seq seq = 0;
  WallMs ms = 0;
};

struct Verdict {
  // Sentences, the first bad change first; empty when all holds.
  std::vector<std::string> problems;
  std::uint64_t changes = 0, seals = 0, receipts = 0, logs = 0;
  std::map<ChangeId, ProvenChange> proven;
  std::map<PublicKey, KnownDevice> devices;
  std::map<LogId, std::vector<Held>> held;  // By seq.
  // Proven names of people, animals and whatever else has one, by the latest stamp.
  std::map<RecordId, std::string> names;

  bool good() const { return problems.empty(); }
  std::optional<WallMs> held_ms(ChangeId id) const;
};

// `hub_keys`: the keys that are the hub's, as whoever checks knows them; empty: the file's own word is taken.
Verdict check(const File& file, const std::vector<PublicKey>& hub_keys);

}  // namespace wrackline::evidence
