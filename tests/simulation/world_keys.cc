// The part of World in which keys take the place of others: a device's, and the hub's.
#include <algorithm>
#include <iterator>

#include "simulation/world.h"
#include "store/store.h"

namespace wrackline {

void World::rekey(Site& site) {
  if (!site.replica || !hub_->replica || site.out_of_reach_for > 0) return;
  if (!site.next_keystore) site.next_keystore = fresh_key();
  const PublicKey before = site.keystore->public_key(), next = site.next_keystore->public_key();
  const std::uint64_t faults = hub_->disk.faults();
  const auto known = run(*hub_, "giving a device another key", [&](Replica& hub) { return hub.rekey_device(before, next); });
  if (!known) {
    // The machine goes on under the key it has. Where the answer is a failure of the hub's disk, nobody knows what was kept.
    if (hub_->disk.faults() == faults) site.next_keystore.reset();
    return;
  }
  note("device's key changed");
  note_revoked(before);
  if (is_lossy && random_.once_in(4)) return note("word of a key lost");
  const auto changed = run(site, "going on under another key", [&](Replica& replica) { return replica.change_key(*site.next_keystore); });
  if (!changed) return;
  site.end_key_change();
  site.is_revoked = false;
}

void World::rekey_hub(Replica::OldKey old) {
  if (!hub_->replica) return;
  if (!hub_->next_keystore) hub_->next_keystore = fresh_key();
  // One that a disk cut off goes on as it was begun.
  if (hub_key_change_) old = hub_key_change_->old;
  hub_key_change_ = HubKeyChange{old, hub_->held()};
  const auto changed = run(*hub_, "handing the hub over", [&](Replica& hub) {
    return hub.change_hub_key(*hub_->next_keystore, old, person_, old == Replica::OldKey::kLost ? "the disk was stolen" : "by plan");
  });
  if (!changed) return;  // Which key it has shows when it is switched on, if it went down; else the old one.
  note(old == Replica::OldKey::kLost ? "hub's key lost" : "hub's key handed over");
  hub_->end_key_change();
  if (hub_->replica) heed_new_hub_key();
}

// The hub's own database decides, whether or not the call came to tell of it.
void World::heed_new_hub_key() {
  const PublicKey key = hub_->keystore->public_key();
  if (key == hub_keys_.current()) return;
  const bool is_lost = hub_key_change_->old == Replica::OldKey::kLost;
  Calm calm(*hub_);
  need(hub_->replica->store().refresh(), "the hub is looked at");
  hub_keys_.hand_over(key, hub_->replica->store().logs(), is_lost);
  const std::set<ChangeKey> before = std::move(hub_key_change_->held_before);
  hub_key_change_.reset();
  if (!is_lost) return;
  // Changes that nobody has sealed go with the key; a revocation may be among them.
  known_when_revoked_.clear();
  const std::set<ChangeKey> after = hub_->held();
  std::set<ChangeKey> kept;
  std::set_intersection(hub_->own.begin(), hub_->own.end(), after.begin(), after.end(), std::inserter(kept, kept.end()));
  hub_->own = std::move(kept);
  excuse_what_only(*hub_, before, after, counts_.dropped_with_key);
}

void World::repin(Site& site) {
  if (!site.replica || !hub_keys_.is_lost(site.replica->membership().hub_key)) return;
  const auto pinned = run(site, "pinning the hub's key", [&](Replica& replica) { return replica.repin(hub_keys_.current()); });
  if (pinned) note("hub's key pinned anew");
}

// A hub that was put back, or has lost its key, may have forgotten which keys a device has had; somebody lets in again what it
// holds logs of, and each key after the one before.
void World::let_in(Site& site) {
  std::vector<PublicKey> keys;
  for (const auto& former : site.former_keystores) keys.push_back(former->public_key());
  keys.push_back(site.keystore->public_key());
  const auto standing = [&](std::size_t i) { return need(in_step(*hub_, [&](Replica& hub) { return hub.device_standing(keys[i]); }), "asking the hub"); };
  std::size_t forgotten = keys.size();
  while (forgotten > 0 && standing(forgotten - 1) == DeviceStanding::kUnknown) --forgotten;
  for (std::size_t i = forgotten; i < keys.size(); ++i) {
    note("device let in again");
    if (i > 0 && standing(i - 1) == DeviceStanding::kEnrolled) {
      need(in_step(*hub_, [&](Replica& hub) { return hub.rekey_device(keys[i - 1], keys[i]); }), "letting a device in again");
    } else {
      need(in_step(*hub_, [&](Replica& hub) { return hub.admit_device(site.name, keys[i]); }), "letting a device in again");
    }
  }
}

// In the calm: nothing of it is left half done.
void World::end_key_changes() {
  for (auto& site : sites_) {
    repin(*site);
    if (site->next_keystore) rekey(*site);
    site->next_keystore.reset();
    let_in(*site);
  }
}

}  // namespace wrackline
