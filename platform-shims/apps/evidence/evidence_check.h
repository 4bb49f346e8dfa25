// Whether an evidence file proves what it says: seals, trees, arrivals and devices checked from its bytes alone.
#pragma once

#include <map>
#include <memory>
#include <optional>
#include <set>
#include <string>
#include <vector>

#include "evidence_file.h"
#include "log/change.h"

namespace wrackline::evidence {

// A device by the hub's log, as far as the file holds that.
struct KnownDevice {
  std::string name;  // Fit to be printed (visible.h).
  RecordId record;
  WallMs enrolled_ms = 0;
  bool is_revoked = false;
};

// A change that its device's seal covers, read. Its views point into `bytes`, which a move of the struct leaves in place.
struct ProvenChange {
  ChangeId id;
  PublicKey device{};
  std::unique_ptr<const Bytes> bytes;  // References read as a change of a branch means them.
  std::uint32_t check = 0;             // See log/change.h, Replaced.
  bool is_withheld = false;            // Then `change` has neither fields nor reason.
  Change change;
  RecordId record() const { return change.is_birth() ? id : change.record; }
};

struct Verdict {
  // Sentences fit to be printed, the first bad change first; empty when all holds.
  std::vector<std::string> problems;
  // `arrivals`: words of the hub about logs of the file, that agree with them.
  std::uint64_t changes = 0, withheld = 0, seals = 0, arrivals = 0;
  std::map<ChangeId, ProvenChange> proven;
  std::map<PublicKey, KnownDevice> devices;
  // When the hub came to hold a change, by its own word.
  std::map<ChangeId, WallMs> held;
  // Proven names of people, animals and whatever else has one, by the latest stamp; fit to be printed.
  std::map<RecordId, std::string> names;
  // How far a log is the hub's word.
  std::map<LogId, Seq> hub_reach;
  // Logs that the hub sealed or told of.
  std::set<LogId> vouched;

  bool good() const { return problems.empty(); }
  bool is_word_of_hub(ChangeId id) const {
    const auto reach = hub_reach.find(id.log);
    return reach != hub_reach.end() && id.seq <= reach->second;
  }
};

// `hub_key`: a key of the hub's, as whoever checks knows it; none: the file's own word is taken. The hub's other keys follow
// from it as on a replica (store/hub_lineage.h).
Verdict check(const File& file, const std::optional<PublicKey>& hub_key);

}  // namespace wrackline::evidence
