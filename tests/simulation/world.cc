#include "simulation/world.h"

#include <algorithm>

#include "base/wire.h"
#include "model/kinds.h"
#include "store/sqlite.h"
#include "store/store.h"
#include "sync/exchange.h"

namespace wrackline {

World::World(std::uint64_t seed, std::size_t sites, Random& random) : seed_(seed), random_(random) {
  seed_sqlite(seed);
  Membership membership;
  for (std::size_t i = 0; i < membership.facility.size(); ++i) {
    membership.facility[i] = static_cast<unsigned char>(seed >> (i % 8 * 8));
  }
  const auto make = [&](const std::string& name) {
    auto site = std::make_unique<Site>(name, fresh_key(), Random(random_.next()), random_.once_in(2));
    site->clock = kStartMs;
    return site;
  };
  hub_ = make("hub");
  hub_->is_fenced = false;  // It opens a new log by itself when it is restored.
  membership.hub_key = hub_->keystore->public_key();
  hub_keys_ = HubKeys(membership.hub_key);
  const auto create = [&](Site& site) {
    membership.device_name = site.name;
    site.replica = need(Replica::create(site.options(), membership), "making the replica of " + site.name);
  };
  create(*hub_);
  need(hub_->replica->admit_device("hub", membership.hub_key), "admitting the hub");
  Bytes person;
  append_bytes_field(person, 1, "Ines Valdor");
  for (std::uint64_t role = 1; role <= 5; ++role) append_varint_field(person, 2, role);
  person_ = need(hub_->replica->log_unauthored({{static_cast<std::uint32_t>(Kind::kPerson), person}}), "the first person").front();
  for (std::size_t i = 0; i < sites; ++i) {
    sites_.push_back(make("tablet" + std::to_string(i)));
    const PublicKey key = sites_.back()->keystore->public_key();
    need(hub_->replica->admit_device(sites_.back()->name, key), "admitting a device");
  }
  need(hub_->replica->author().seal(), "sealing at the hub");
  for (auto& site : sites_) {
    create(*site);
    expect(whole_exchange(*site, *hub_), "the first exchange of " + site->name + " did not end");
  }
}

std::vector<Site*> World::all() {
  std::vector<Site*> out = hubs();
  for (auto& site : sites_) out.push_back(site.get());
  return out;
}

void World::judge_failure(const Site& site, const std::string& doing, const Error& error, std::uint64_t faults_before) {
  const bool is_of_disk = static_cast<std::uint32_t>(error.code) >= static_cast<std::uint32_t>(ErrorCode::kStorage);
  if (!is_of_disk && error.code != ErrorCode::kMalformed) return;
  if (site.shared && (error.code == ErrorCode::kTransport || error.code == ErrorCode::kBusy)) return;
  expect(site.disk.faults() != faults_before,
         site.name + ", " + doing + ": failed on a sound disk: " + error_word(error.code) + ": " + error.message);
}

void World::switch_off_if_down(Site& site) {
  if (!site.disk.is_down()) return;
  site.replica.reset();
  if (site.down_for == 0) site.down_for = 1 + static_cast<int>(random_.below(6));
}

void World::switch_on(Site& site) {
  site.replica.reset();
  site.down_for = 0;
  if (site.disk.is_down()) site.disk.restart(site.random);
  const std::uint64_t faults = site.disk.faults();
  if (const Status opened = site.open(); !opened) {
    expect(site.disk.faults() != faults, site.name + " does not open after a restart: " + opened.error().message);
    site.disk.power_off();
    switch_off_if_down(site);
    return;
  }
  switch_off_if_down(site);
  if (!site.replica) return;
  if (&site == hub_.get()) heed_new_hub_key();
  look_up_told(site);
}

void World::update_release(Site& site) {
  if (!site.replica || site.disk.is_down()) return;
  note("release updated");
  {
    Calm calm(site);
    site.replica.reset();
    const auto records = need(Database::open(site.disk.path("records.db"), Database::Mode::kOpen), "an older release opens its records");
    const std::string kind = std::to_string(1 + random_.below(all_kinds().size()));
    need(records->execute("UPDATE OR REPLACE key SET subject=0,day=0,detail=0,brief=x'' WHERE kind=" + kind +
                          "; DELETE FROM review; UPDATE meta SET value=x'00' WHERE key='projected_by'"),
         "an older release arranges its records");
  }
  switch_on(site);
}

void World::look_up_told(Site& site) {
  Calm calm(site);
  for (const ChangeId change : std::exchange(site.told, {})) {
    const ChangeKey key = site.key_of(change);
    required_.emplace(key, site.name);
    site.own.insert(key);
  }
  const std::set<ChangeKey> held = site.held();
  const bool is_whole = std::includes(held.begin(), held.end(), site.own.begin(), site.own.end());
  // Where a log has two branches, what stands before the place they part comes back from the hub.
  expect(is_whole || may_have_branches_, site.name + " has lost what it acknowledged, in a restart");
}

void World::acknowledge(Site& site, const std::vector<ChangeId>& changes) {
  counts_.acknowledged += changes.size();
  site.told.insert(site.told.end(), changes.begin(), changes.end());
  if (!site.replica || site.disk.is_down()) return;
  Calm calm(site);
  for (const ChangeId change : std::exchange(site.told, {})) {
    const ChangeKey key = site.key_of(change);
    required_.emplace(key, site.name);
    site.own.insert(key);
  }
}

void World::back_up(Site& site) {
  site.backup = site.copy();
}

// Changes that stood on this disk alone are lost with it, and no others may be lost.
void World::excuse_what_only(Site& lost, const std::set<ChangeKey>& before, const std::set<ChangeKey>& after, std::uint64_t& count) {
  std::set<ChangeKey> elsewhere;
  for (Site* site : all()) {
    if (site == &lost) continue;
    if (!site->replica) switch_on(*site);
    for (int tries = 0; tries < 20 && !site->replica; ++tries) switch_on(*site);
    expect(site->replica != nullptr, site->name + " does not come up again");
    const auto held = site->held();
    elsewhere.insert(held.begin(), held.end());
  }
  for (auto it = required_.begin(); it != required_.end();) {
    const bool is_lost = before.count(it->first) != 0 && after.count(it->first) == 0 && elsewhere.count(it->first) == 0;
    if (is_lost) ++count;
    it = is_lost ? required_.erase(it) : std::next(it);
  }
}

void World::restore(Site& site) {
  if (!site.replica || !site.backup) return;
  const std::set<ChangeKey> before = site.held();
  site.replica.reset();
  site.disk.put_back(*site.backup);
  need(site.open_alone(), "opening what was put back of " + site.name);
  if (is_hub(site)) need(site.replica->author().leave_logs(), "a restored hub opens a log");
  if (is_hub(site)) known_when_revoked_.clear();
  if (site.shared) site.replica->follow(*site.shared);
  const std::set<ChangeKey> after = site.held();
  site.own.clear();
  site.told.clear();
  if (!is_hub(site) && !site.is_fenced) may_have_branches_ = true;
  excuse_what_only(site, before, after, counts_.lost_with_disk);
}

Site& World::clone(Site& site) {
  auto made = std::make_unique<Site>("copy" + std::to_string(ids_++) + "of" + site.name, site.keystore, Random(random_.next()), site.is_fenced);
  made->clock = site.clock + random_.below(10'000);
  made->former_keystores = site.former_keystores;
  made->is_revoked = site.is_revoked;
  made->is_offline = site.is_offline;
  made->disk.put_back(site.copy());
  if (!made->is_fenced) may_have_branches_ = true;
  made->replica = need(Replica::open(made->options()), "opening a clone");
  sites_.push_back(std::move(made));
  return *sites_.back();
}

void World::revoke(const PublicKey& key) {
  DeviceRegistry::Device device;
  {
    Calm calm(*hub_);
    need(hub_->replica->store().refresh(), "the hub is looked at");
    device = need(hub_->replica->devices().find(key), "looking for a device");
  }
  if (device.standing != DeviceStanding::kEnrolled) return;
  Edit strike;
  strike.record = device.record;
  append_varint_field(strike.fields, kStandingField, kStruck);
  strike.reason = "stolen";
  auto done = run(*hub_, "revoking", [&](Replica& hub) { return hub.author().edit(person_, strike); });
  if (!done) return;
  acknowledge(*hub_, {*done});
  note_revoked(key);
}

void World::note_revoked(const PublicKey& key) {
  if (hub_->replica && known_when_revoked_.count(key) == 0) known_when_revoked_[key] = hub_->held();
  for (auto& other : sites_) other->is_revoked = other->is_revoked || other->keystore->public_key() == key;
}

}  // namespace wrackline
