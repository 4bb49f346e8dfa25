// Who may write what: the table of roles.
//
//   role      | care | plans | approvals | orders | roster | review | people | devices
//   keeper    |  x   |       |           |        |        |        |        |
//   vet       |  x   |   x   |     x     |   x    |        |   x    |        |
//   curator   |  x   |   x   |     x     |        |   x    |   x    |        |
//   officer   |  x   |   x   |           |        |   x    |   x    |        |
//   admin     |      |       |           |        |        |        |   x    |    x
//
// Care is what happened: meals, doses, observations. Review is to fold, to accept flags and to decide on held
// changes. Somebody with several roles may do what any of them may. What may be struck is what may be written.
// People may always give themselves another PIN. Devices and holds are born in the hub's own log only.
//
// A kind of a newer release has no row in the table. A device lets its people write what it has records of, since the hub
// has the last word; a hub holds such changes, whoever wrote them (cause `kind`), and a later release of it, which knows
// the kind, judges them again by its own table. To let them count meanwhile would let anybody do what the newer release
// keeps for few; to refuse them would lose records of tablets that were updated first. An officer can take them in.
//
// Pure: the same table is asked on the device before a change is written and by the hub before it is taken
// into account.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "base/bytes.h"
#include "base/ids.h"

namespace wrackline {

// One bit a role, by its number in proto/roster.proto.
using Roles = std::uint32_t;

enum class Authority { kCare, kPlans, kApprovals, kOrders, kRoster, kReview, kPeople, kDevices };

// The roles of which one is needed.
Roles roles_for(Authority authority);
// "a curator or an officer"; for messages.
std::string role_words(Roles roles);

// Keepers have this role, and log care and no more.
Roles roles_of_keepers();

// The roles a person's merged fields name; none when the record is struck.
Roles roles_of_person(ByteView person_fields);

// A change as far as authority goes.
struct Act {
  std::uint32_t kind = 0;            // Of the record concerned.
  bool birth = false;
  // Which fields it gives a value or, as an edit, makes absent. A confirmation counts nowhere: it goes with what was confirmed.
  bool touches_review = false;       // Folds a record, or accepts a flag.
  bool touches_pin = false;
  bool touches_approval = false;     // The kind's approval field.
  bool touches_others = false;
  bool gives_approval = false;       // That field is given a value, not cleared.
  bool of_oneself = false;           // An edit of the author's own person record.
};

// From the fields of a change: `fields` in wire format, and the cleared ones.
Act act_of(std::uint32_t kind, bool birth, ByteView fields, const std::vector<std::uint32_t>& clears);

// Whether the table says anything of the kind.
bool has_rule(std::uint32_t kind);

// Whether it is more than care, so that a facility may ask for a proof of who did it: whatever takes another role than a keeper's,
// and everybody's own PIN.
bool needs_proof(const Act& act);

// True when somebody with these roles may do it, or has_rule() is false. Otherwise `needed` says, in words, who may.
bool may(Roles roles, const Act& act, std::string& needed);

}  // namespace wrackline
