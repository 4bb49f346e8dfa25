// The roster is who and what is at the facility, read once for one call: animals with their pools, and the
// names of records.
#pragma once

#include <map>
#include <string>

#include "reading/areas.h"

namespace wrackline {

struct RosterAnimal {
  ChangeId id;
  Place place = 0;
  proto::Animal animal;
  std::string pool_name;  // Empty when it is in none, or in one that is not here.
  std::string area;
};

class Roster {
 public:
  explicit Roster(Replica& replica) : replica_(replica), areas_(replica) {}

  // Animals in account, by area, pool name, name, id. `area` empty: all.
  Result<std::vector<RosterAnimal>> animals(const std::string& area);
  // One animal, of whatever standing. Errors: kNotFound; kInvalid when the record is no animal, with `doing` in
  // the message.
  Result<RosterAnimal> animal(ChangeId id, const char* doing);
  // Field 1 of the record, which is the name in every kind that has one; empty when it is not here.
  Result<std::string> name_of(ChangeId id);
  Areas& areas() { return areas_; }
  // Name of the person who wrote a change; empty when nobody did, or it is not here.
  Result<std::string> author_name(ChangeId change);

 private:
  Status put_pool(RosterAnimal& animal);

  struct Pool {
    std::string name, area;
  };

  Replica& replica_;
  Areas areas_;
  std::map<ChangeId, std::string> names_;
  std::map<ChangeId, Pool> pools_;
};

// When this replica last exchanged with the hub; 0 = never.
Result<WallMs> known_as_of(Replica& replica);

}  // namespace wrackline
