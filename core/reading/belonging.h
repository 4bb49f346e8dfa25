// This file says what a record belongs to, record by record up to an animal, a pool or nothing, and by that its husbandry day, the time
// it happened, and the area it happened in.
//
// Reads are kept as long as the object lives: one for each call.
#pragma once

#include <map>
#include <optional>
#include <string>
#include <vector>

#include "model/kinds.h"
#include "reading/roster.h"

namespace wrackline {

// One record of the way from an entry to what it belongs to: portion, meal, animal. Its id is none while it is being
// written.
struct Link {
  RecordId id;
  const KindRow* row = nullptr;
  ByteView fields;
};

class Belonging {
 public:
  explicit Belonging(Replica& replica) : replica_(replica), roster_(replica) {}

  // Null when it is not held here, or only edits of it are. Valid as long as this object.
  Result<const RecordState*> load(RecordId id);

  // The record and what it belongs to, itself first; ends at what is not held here or of a newer release. `first` has a
  // row.
  Result<std::vector<Link>> chain_of(Link first);
  // The same of a record that is held here; empty otherwise, and for a kind of a newer release.
  Result<std::vector<Link>> chain_of(RecordId id);

  // The husbandry day an event counts for; a portion's is its meal's. None for what is no event. A close is no event
  // of the day it closes.
  static std::optional<Day> day_of(const std::vector<Link>& chain);
  // When it happened, or what it is part of; 0 for what is no event, or says no time.
  static WallMs happened_ms(const std::vector<Link>& chain);
  // Where it happened: in the area of the animal's pool as it stands now, of the pool, or as the check itself says.
  Result<std::string> area_of(const std::vector<Link>& chain);

  Roster& roster() { return roster_; }

 private:
  Replica& replica_;
  Roster roster_;
  std::map<RecordId, std::optional<RecordState>> states_;
  std::map<RecordId, std::string> areas_;  // The area of each animal.
};

}  // namespace wrackline
