// This file says what must hold once the faults are over and everybody has exchanged: each throws a Finding that says what does not.
#pragma once

#include <cstdint>
#include <set>
#include <string>

#include "simulation/world.h"

namespace wrackline {

struct Checked {
  std::uint64_t replicas = 0, changes = 0, records = 0, edited = 0, disagreements = 0, held = 0, branches = 0;
  std::string state;  // The digest that all have.
};

// The world has settled.
Checked check_all(World& world);

// ---- In the middle of a schedule, whatever is wrong outside: none of it changes anything that the schedule would see.
// Every acknowledged change is on a disk. Says nothing while a machine is down, since that may be the one that has it.
void check_kept(World& world);
// The disk of this machine, which is up, holds all as its devices sealed it, and shows the same as a rebuild of it shows.
void check_on_the_way(World& world, Site& site);

// Faults that logs of these devices may show: a device may lie of what it saw, and of nothing that its seal alone disproves.
struct Lies {
  std::set<PublicKey> by;
  std::set<int> faults;
};

// ---- Oracles over one replica that is up, whatever has become of the others.
// The digest of its folded state, and its review queue, as they stand.
std::string state_of(Site& site);
Bytes review_of(Site& site, RecordId person);
// `verify` finds no problem, but maybe of these kinds (proto::Fault), and in logs of devices that lie; answers which.
std::set<int> check_seals(Site& site, RecordId person, const std::set<int>& excused = {}, const Lies& lies = {});
// The projections are those that a rebuild makes.
void check_rebuild(Site& site, RecordId person);
// Its state is that of a plain merge of its changes (naive_merge.h).
void compare_with_plain_merge(Site& site, const HubKeys& hub, Checked& checked);

}  // namespace wrackline
