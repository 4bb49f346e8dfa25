// The machines that small worlds are played on: a hub and three devices, set out as they stood at any moment before, and put
// away again. Real replicas on virtual disks; all that happens on them follows from their states alone.
#pragma once

#include <array>
#include <cstdint>
#include <memory>
#include <set>
#include <vector>

#include "simulation/site.h"

namespace wrackline {

enum Desk : std::size_t { kHub, kNorth, kSouth, kEast };
inline constexpr std::size_t kDesks = 4;
inline constexpr std::array<Desk, 3> kDevices = {kNorth, kSouth, kEast};

// A machine between two acts. Its database is a backup of it (store/backup.h), so that whatever goes on from here goes on from a
// backup that was put back. The numbers never go back, whatever becomes of the database.
struct SiteState {
  Bytes database;             // Compressed.
  Random random{0};           // The n-th draw of a site is always the same.
  std::uint32_t written = 0;  // Acts of people here; each makes its minute and its words.
  std::uint32_t key = 0;      // The one of its device's keys that it has.
  std::uint32_t keys = 1;     // How many it ever had.
};

// All that machines are compared by.
struct SiteFacts {
  std::vector<ChangeKey> held;      // Sorted.
  Bytes changes;                    // Names the set of them, arrivals left out.
  Bytes shown;                      // Names the records and the review queue that this set amounts to.
  std::vector<ChangeKey> held_out;  // The records out of account; sorted.
  std::vector<ChangeKey> decided;   // Edits of people and devices among them, which make what others bring later be held; sorted.
  PublicKey device{};
  bool knows_former_keys = true;    // Has heard from the hub of each key that its device had before this one.
  std::set<PublicKey> enrolled;
  bool has_branches = false;
  std::set<int> faults;             // Told by `verify`, and ended by an exchange: changes on their way, a log continued twice.
};

class Stage {
 public:
  // A hub, three devices that have exchanged with it, and nothing else.
  explicit Stage(std::uint64_t seed);

  Site& at(Desk desk) { return *sites_[desk]; }
  SiteState& state(Desk desk) { return states_[desk]; }
  static const char* name_of(Desk desk);

  // Puts a machine there as it was, and switches it on.
  void set_out(Desk desk, const SiteState& state);
  void put_away(Desk desk);
  // Its disk alone is put back: what is not on it goes on.
  void put_back_disk(Desk desk, const SiteState& earlier);
  // Goes on under a key that the device has from now on.
  void take_key(Desk desk, std::uint32_t key);
  std::shared_ptr<SeededKeystore> keystore(Desk desk, std::uint32_t key);
  // Somebody is about to write there.
  void let_time_pass(Desk desk);

  // The machine that stands there, to be set out again later.
  SiteState keep(Desk desk);
  // The same for equal logs, seals, runs and facts about itself, and equal numbers, whatever came in which order. Projections are left
  // out, since a rebuild gives them.
  Bytes key_of(Desk desk);
  SiteFacts facts_of(Desk desk);
  // A backup of it opens and holds and shows the same, verifies, and rebuilds to what it is.
  void check_backup(Desk desk, const SiteState& kept, SiteFacts& facts);

  RecordId admin() const { return admin_; }      // Has all roles, for ever.
  RecordId officer() const { return officer_; }  // Has roles that are given and taken.
  RecordId animal() const { return animal_; }
  PublicKey hub_key() { return keystore(kHub, 0)->public_key(); }

 private:
  SiteFacts facts_of(Site& site, const PublicKey& device);
  std::uint64_t seed_;
  std::array<std::unique_ptr<Site>, kDesks> sites_;
  std::unique_ptr<Site> looked_at_;
  std::array<SiteState, kDesks> states_;
  std::array<std::vector<std::shared_ptr<SeededKeystore>>, kDesks> keystores_;
  RecordId admin_, officer_, animal_;
};

// One whole exchange. False when the hub refused the device.
bool exchange_whole(Stage& stage, Desk desk);

}  // namespace wrackline
