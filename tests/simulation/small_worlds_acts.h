// The acts of small worlds: each begins with machines just switched on and ends with them put away.
#pragma once

#include <functional>
#include <string>
#include <vector>

#include "simulation/small_worlds_stage.h"

namespace wrackline {

// False for as long as a hub that was put back, and not told so, may go on with its logs until it meets somebody who knows them further:
// two views of it then stand for good, and `verify` says so.
inline constexpr bool kHubTellsThatItWasPutBack = false;

using Desks = std::array<SiteState, kDesks>;

struct SmallAct {
  std::string words;
  std::vector<Desk> touches;  // The machines on which it depends, and which it changes.
  // False when it was refused, and nothing was to change.
  std::function<bool(Stage&)> play;
  bool loses_disk = false;    // The first that it touches is put back, and may lose what it held.
  bool is_exchange = false;
};

// Where every sequence begins: all hold the same records, and one held change; north wrote since its last backup, and has told the hub;
// the hub has a snapshot from before that; south has an animal that nobody else has heard of.
struct Opening {
  Desks states;
  SiteState north_backup, hub_snapshot;
};
Opening open_small_world(Stage& stage);

std::vector<SmallAct> small_world_acts(const Opening& opening);

}  // namespace wrackline
