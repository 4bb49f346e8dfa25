// A facility under simulation: a hub, sites and what lies between them, all from one seed; and the ledger of what was
// acknowledged to people. Who works on it, and what goes wrong when, is chosen by a Schedule.
#pragma once

#include <map>
#include <memory>
#include <optional>
#include <set>
#include <string>
#include <vector>

#include "simulation/noted_hub_keys.h"
#include "simulation/site.h"

namespace wrackline {

struct WorldCounts {
  std::map<std::string, std::uint64_t> faults;  // The number of faults of each kind.
  std::uint64_t messages = 0, acknowledged = 0, lost_with_disk = 0, dropped_with_key = 0;
  WallMs virtual_ms = 0;
};

class World {
 public:
  World(std::uint64_t seed, std::size_t sites, Random& random);

  static constexpr WallMs kStartMs = 1'790'000'000'000;

  Site& hub() { return *hub_; }
  // More hubs behind one shared log (world_hubs.cc), made from copies of the first under its key.
  void add_hubs(std::size_t count);
  std::vector<Site*> hubs();  // The first one first.
  bool is_hub(const Site& site) { return &site == hub_.get() || site.shared != nullptr; }
  Site& any_hub() { return *random_.pick(hubs()); }
  // The shared log loses its end, as a standby does that takes over and has not heard of it.
  void forget_batches();
  std::vector<std::unique_ptr<Site>>& sites() { return sites_; }
  std::vector<Site*> all();  // The hubs first.
  RecordId person() const { return person_; }
  WorldCounts& counts() { return counts_; }
  void note(const std::string& fault) { ++counts_.faults[fault]; }

  // Runs something on a site that is up. A failure of the disk must be one that was injected; a machine that went down
  // meanwhile is switched off. Answers whether it went well.
  template <typename Act>
  auto run(Site& site, const std::string& doing, Act act) -> decltype(act(*site.replica)) {
    const std::uint64_t faults = site.disk.faults();
    auto result = in_step(site, act);
    if (!result) judge_failure(site, doing, result.error(), faults);
    switch_off_if_down(site);
    return result;
  }
  // A hub that is one of several answers so: it reads on first, and decides again when another was first.
  template <typename Act>
  auto in_step(Site& site, Act act) -> decltype(act(*site.replica)) {
    constexpr int kTriesMax = 4;
    for (int tries = 1; site.shared; ++tries) {
      if (const auto caught_up = site.replica->catch_up(); !caught_up) return fail(caught_up.error());
      auto result = act(*site.replica);
      if (result || tries == kTriesMax || !site.replica->was_overtaken()) return result;
    }
    return act(*site.replica);
  }
  void judge_failure(const Site& site, const std::string& doing, const Error& error, std::uint64_t faults_before);
  void switch_off_if_down(Site& site);

  // ---- Power and disks.
  void switch_on(Site& site);  // After a crash, or a plain restart.
  // The records were arranged by a release that did not know a kind of them; the next release opens them.
  void update_release(Site& site);
  void back_up(Site& site);
  void restore(Site& site);    // From its backup.
  Site& clone(Site& site);
  void revoke(Site& site) { revoke(site.keystore->public_key()); }

  // ---- Keys (world_keys.cc). A change that was cut off goes on where it stood when it is begun again.
  void rekey(Site& site);
  void rekey_hub(Replica::OldKey old);
  // Somebody tells a device which key is the hub's, where it cannot know that by itself.
  void repin(Site& site);
  const HubKeys& hub_keys() const { return hub_keys_; }

  // ---- Proofs of who is at which device (world_proofs.cc).
  // The facility asks for them from here on.
  void ask_for_proofs();
  bool asks_for_proofs() const { return asks_for_proofs_; }
  // Somebody proves to a hub that they are at this site; nothing, where the hub is down or takes it not.
  void prove(Site& site, RecordId person);
  // Whether somebody ever did, for a change with this stamp. The hub may have lost its word of it since.
  bool has_proven(RecordId person, const PublicKey& device, WallMs stamped) const;

  // ---- What people were told is kept.
  void acknowledge(Site& site, const std::vector<ChangeId>& changes);
  const std::map<ChangeKey, std::string>& required() const { return required_; }
  // The changes that the hub held of each device when its key was revoked. A device is left out when its revocation a
  // restored hub may have forgotten.
  const std::map<PublicKey, std::set<ChangeKey>>& known_when_revoked() const { return known_when_revoked_; }
  // A device that lies (liar.h) is let in. A statement about its logs says nothing of anybody else's.
  void admit_liar(const PublicKey& key) { liars_.insert(key); }
  bool is_liars(const LogEntry& log) const { return log.opening && liars_.count(log.opening->device) != 0; }
  const std::set<PublicKey>& liars() const { return liars_; }
  std::shared_ptr<SeededKeystore> fresh_key() { return std::make_shared<SeededKeystore>(seed_ * 1000 + next_key_++); }
  void revoke(const PublicKey& key);
  bool may_have_branches() const { return may_have_branches_; }

  // ---- Messages. Each is lost, repeated, kept back or passed on as chance has it.
  void begin_exchange(Site& site);
  void deliver_some();
  void swap_bundle(Site& from, Site& to);
  // An exchange from its beginning to its end, without faults. False when it does not end.
  bool whole_exchange(Site& site, Site& hub);
  bool is_lossy = false, tampers = false;

  // Faults are over: every machine is up, sound and in reach, and nothing is under way.
  void calm_down();
  // Whole exchanges until nothing changes anywhere. Finding when that does not come to pass.
  void settle();

 private:
  struct Message {
    Site* site = nullptr;
    bool is_reply = false;
    Bytes bytes;
  };
  void send(Message message);
  void deliver(const Message& message);
  Bytes tampered(const Message& message);
  bool whole_courier(Site& site, Site& hub);
  // Counts in `count` what is excused.
  void excuse_what_only(Site& lost, const std::set<ChangeKey>& before, const std::set<ChangeKey>& after, std::uint64_t& count);
  void look_up_told(Site& site);
  void note_revoked(const PublicKey& key);
  void heed_new_hub_key();
  void let_in(Site& site);
  void end_key_changes();

  // A change of the hub's key is under way.
  struct HubKeyChange {
    Replica::OldKey old = Replica::OldKey::kSigns;
    std::set<ChangeKey> held_before;
  };

  std::uint64_t seed_;
  std::uint64_t next_key_ = 0;
  Random& random_;
  std::unique_ptr<Site> hub_;
  std::vector<std::unique_ptr<Site>> more_hubs_;
  std::shared_ptr<SharedBatches> shared_;
  std::vector<std::unique_ptr<Site>> sites_;
  RecordId person_;
  HubKeys hub_keys_;
  std::set<PublicKey> liars_;
  std::optional<HubKeyChange> hub_key_change_;
  struct Proven {
    RecordId person;
    PublicKey device{};
    WallMs from = 0, until = 0;
  };
  std::vector<Proven> proven_;
  bool asks_for_proofs_ = false;
  std::map<ChangeKey, std::string> required_;  // With the site that acknowledged it.
  std::map<PublicKey, std::set<ChangeKey>> known_when_revoked_;
  std::vector<Message> under_way_;
  bool may_have_branches_ = false;
  std::uint64_t ids_ = 1;
  WorldCounts counts_;
};

}  // namespace wrackline
