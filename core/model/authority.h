// This is the table of roles, which says who may write what.
//
//   role      | care | plans | approvals | orders | roster | review | limits | people | devices
//   keeper    |  x   |       |           |        |        |        |        |        |
//   vet       |  x   |   x   |     x     |   x    |        |   x    |   x    |        |
//   curator   |  x   |   x   |     x     |        |   x    |   x    |   x    |        |
//   officer   |  x   |   x   |           |        |   x    |   x    |   x    |        |
//   admin     |      |       |           |        |        |        |        |   x    |    x
//   ----------+------+-------+-----------+--------+--------+--------+--------+--------+--------
//   needs     | word | proof |   proof   | proof  | proof  | proof  |  hub   |  hub   |   hub
//
// Care is what happened: meals, doses, observations. Review is to fold, to accept flags and to decide on held
// changes. Limits are what the site finds improbable. People are persons with their roles, and the facility's record. Somebody with
// several roles may do what any of them may. Whoever does care may also write down an order that a vet gives by telephone: it names the
// vet, and is not confirmed until the vet says so (model/countersigning.h); the same goes for approvals by those who write plans. What may be struck is what may be written; people, devices, limits and the facility are folded and
// accepted by those who may write them. Devices, holds and presences are
// born in the hub's own log only, and since when somebody has a PIN is written there only.
//
// The last line is for facilities that ask for proofs (Facility.proof_required). Word: the device's word of who did it is
// enough, and shown as such. Proof: it counts when its author had proved to the hub that they were at the device. Hub: it is an act
// at the hub, asked for with the PIN in the request (POST /v1/act); what a device writes of it in its own log counts for nothing, and
// nobody can take it in. To close a day is care that needs proof, since others stand on it.
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

enum class Authority { kCare, kPlans, kApprovals, kOrders, kPhoneOrders, kRoster, kReview, kLimits, kPeople, kDevices };

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
  std::uint32_t kind = 0;            // The kind of the record concerned.
  bool birth = false;
  // The fields that it gives a value or, as an edit, makes absent. A confirmation counts nowhere: it goes with what was
  // confirmed.
  bool touches_review = false;       // Folds a record, or accepts a flag.
  bool touches_fold = false;         // The former of these.
  bool touches_pin = false;          // Since when a person has a PIN, or a code for one.
  bool touches_approval = false;     // The kind's approval field.
  bool touches_others = false;
  bool gives_approval = false;       // Its author approves.
  bool gives_word = false;           // Its author says of themselves what countersigning.h tells of,
  bool asks_word = false;            // or names somebody else to say so.
};

// From the fields of a change by `author`: `fields` in wire format, and the cleared ones.
Act act_of(std::uint32_t kind, bool birth, RecordId author, ByteView fields, const std::vector<std::uint32_t>& clears);

// Whether the table says anything of the kind.
bool has_rule(std::uint32_t kind);

// The line "needs" of the table, for facilities that ask for proofs: whether it takes more than the device's word of who did it;
// and whether it is for the hub alone to write. What is for the hub alone needs proof too.
bool needs_proof(const Act& act);
bool is_at_hub(const Act& act);

// True when somebody with these roles may do it, or has_rule() is false. Otherwise `needed` says, in words, who may.
bool may(Roles roles, const Act& act, std::string& needed);

}  // namespace wrackline
