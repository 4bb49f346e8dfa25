// This file knows which roles people had when, by the changes of their records that are in account.
//
// While the hub judges what has come in, some of those changes are in doubt themselves: they are left out until they are
// accepted. Accepting them in the order of their stamps, with questions in that order between, costs O(n log n) in all.
#pragma once

#include <map>
#include <optional>
#include <set>
#include <vector>

#include "base/bytes.h"
#include "base/ids.h"
#include "base/result.h"
#include "log/hybrid_clock.h"
#include "model/authority.h"
#include "store/store.h"

namespace wrackline {

class RolesOverTime {
 public:
  // Leaves these changes out. The store outlives this, and the records of people do not change meanwhile.
  RolesOverTime(Store& store, std::set<ChangeId> in_doubt) : store_(store), in_doubt_(std::move(in_doubt)) {}

  // From here on the change counts. It touches the record of `person`.
  Status accept(RecordId person, ChangeId change);

  // The roles at that time; somebody whose clock stood before their own record was made has those they were given first.
  // None: no such person is known.
  Result<std::optional<Roles>> at(RecordId person, Stamp stamp);

 private:
  struct Step {
    Stamp stamp;
    ChangeId id;
    bool is_birth = false;
    bool counts = false;
    std::optional<Bytes> roles, standing;  // The slices that the change gives for these.
  };
  // How it stands after a step: which steps gave the values.
  struct After {
    std::optional<std::size_t> roles, standing;
    bool has_any = false;
    std::optional<Roles> read = {};
  };
  struct Person {
    std::vector<Step> steps;    // The order is that of (stamp, id).
    std::vector<After> after;   // The outcome of the first so many steps.
    std::optional<std::size_t> birth;
  };
  Result<Person*> find(RecordId person);
  static Roles roles_in(Person& person, After& after);

  Store& store_;
  std::set<ChangeId> in_doubt_;
  std::map<RecordId, Person> people_;
};

}  // namespace wrackline
