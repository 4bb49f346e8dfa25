// A facility under simulation: a hub, sites and what lies between them, all from one seed; and the ledger of what was
// acknowledged to people. Who works on it, and what goes wrong when, is chosen by a Schedule.
#pragma once

#include <map>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "simulation/site.h"

namespace wrackline {

struct WorldCounts {
  std::map<std::string, std::uint64_t> faults;  // By kind.
  std::uint64_t messages = 0, acknowledged = 0, lost_with_disk = 0;
  WallMs virtual_ms = 0;
};

class World {
 public:
  World(std::uint64_t seed, std::size_t sites, Random& random);

  static constexpr WallMs kStartMs = 1'790'000'000'000;

  Site& hub() { return *hub_; }
  std::vector<std::unique_ptr<Site>>& sites() { return sites_; }
  std::vector<Site*> all();  // The hub first.
  RecordId person() const { return person_; }
  WorldCounts& counts() { return counts_; }
  void note(const std::string& fault) { ++counts_.faults[fault]; }

  // Runs something on a site that is up. A failure of the disk must be one that was injected; a machine that went down
  // meanwhile is switched off. Answers whether it went well.
  template <typename Act>
  auto run(Site& site, const std::string& doing, Act act) -> decltype(act(*site.replica)) {
    const std::uint64_t faults = site.disk.faults();
    auto result = act(*site.replica);
    if (!result) judge_failure(site, doing, result.error(), faults);
    switch_off_if_down(site);
    return result;
  }
  void judge_failure(const Site& site, const std::string& doing, const Error& error, std::uint64_t faults_before);
  void switch_off_if_down(Site& site);

  // ---- Power and disks.
  void switch_on(Site& site);  // After a crash, or a plain restart.
  void back_up(Site& site);
  void restore(Site& site);    // From its backup.
  Site& clone(Site& site);
  void revoke(Site& site);

  // ---- What people were told is kept.
  void acknowledge(Site& site, const std::vector<ChangeId>& changes);
  const std::map<ChangeKey, std::string>& required() const { return required_; }
  // Of each device whose key was revoked, what the hub held then. Nobody is named whose revocation a restored hub may
  // have forgotten.
  const std::map<PublicKey, std::set<ChangeKey>>& known_when_revoked() const { return known_when_revoked_; }
  bool may_have_branches() const { return may_have_branches_; }

  // ---- Messages. Each is lost, repeated, kept back or passed on as chance has it.
  void begin_exchange(Site& site);
  void deliver_some();
  void swap_bundle(Site& from, Site& to);
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
  bool whole_exchange(Site& site);
  void excuse_what_only(Site& lost, const std::set<ChangeKey>& before, const std::set<ChangeKey>& after);
  void look_up_told(Site& site);

  Random& random_;
  std::unique_ptr<Site> hub_;
  std::vector<std::unique_ptr<Site>> sites_;
  RecordId person_;
  std::map<PublicKey, RecordId> devices_;
  std::map<ChangeKey, std::string> required_;  // With the site that acknowledged it.
  std::map<PublicKey, std::set<ChangeKey>> known_when_revoked_;
  std::vector<Message> under_way_;
  bool may_have_branches_ = false;
  std::uint64_t ids_ = 1;
  WorldCounts counts_;
};

}  // namespace wrackline
