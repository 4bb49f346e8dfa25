// One simulated machine with a replica on it: a tablet, a desk, or the hub. Its disk, key, clock and fence.
#pragma once

#include <memory>
#include <optional>
#include <set>
#include <string>
#include <vector>

#include "replica/author.h"
#include "replica/replica.h"
#include "simulation/finding.h"
#include "simulation/virtual_disk.h"
#include "support/memory_fence.h"
#include "support/memory_shared_log.h"
#include "support/seeded_keystore.h"

namespace wrackline {

// Names a change whatever log it is filed under: by the log its device wrote it in, its seq and its bytes.
using ChangeKey = std::uint64_t;

struct Site {
  Site(std::string name, std::shared_ptr<SeededKeystore> keystore, Random random, bool is_fenced);
  Replica::Options options();
  // Opens the records with the key that they ask for, and ends a change of key that went well before the machine went down.
  Status open();
  Status open_alone();  // The same, and follows no shared log.
  // The next key is this machine's from here on. An older backup asks for a key that is gone, so it goes too.
  void end_key_change();

  std::string name;
  VirtualDisk disk;
  std::shared_ptr<SeededKeystore> keystore;
  // The key that is to take the place of `keystore`, while that change is under way; which of the two the records are
  // opened with, the database says.
  std::shared_ptr<SeededKeystore> next_keystore;
  std::vector<std::shared_ptr<SeededKeystore>> former_keystores;  // The latest last.
  Random random;  // Draws log ids, and the effects of a crash on the disk.
  WallMs clock = 0;
  bool is_fenced = false;
  MemoryFence fence;
  std::unique_ptr<MemorySharedLog> shared;  // Set where the hub is one of several.
  std::unique_ptr<Replica> replica;  // Null while the machine is down.

  int down_for = 0;         // Steps until it is switched on again.
  int out_of_reach_for = 0; // Steps in which nobody hears of it.
  bool is_revoked = false;
  bool is_offline = false;  // It never reaches the hub: somebody carries bundles to and fro.
  std::optional<VirtualDisk::Copy> backup;

  std::vector<ChangeId> told;     // Acknowledged, and not yet looked up: the machine went down right after.
  std::set<ChangeKey> own;        // Acknowledged here, on the disk that is in.

  // Copies as a backup does, and only what is committed. The bare files of a running database may hold a commit whose
  // sync has failed and which the database took back, and so are no copy of it.
  VirtualDisk::Copy copy();

  // ---- What the replica holds.
  ChangeKey key_of(ChangeId change);
  std::set<ChangeKey> held();
};

// Reads without faults to come, for looking from outside.
class Calm {
 public:
  explicit Calm(Site& site) : site_(site) { site_.disk.pause(true); }
  ~Calm() { site_.disk.pause(false); }
  Calm(const Calm&) = delete;
  Calm& operator=(const Calm&) = delete;

 private:
  Site& site_;
};

}  // namespace wrackline
