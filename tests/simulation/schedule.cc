#include "simulation/schedule.h"

#include <optional>

#include "simulation/liar.h"
#include "simulation/work.h"

namespace wrackline {
namespace {

// The kinds of fault that a schedule has: not all at once, or they would hide each other.
struct Weather {
  explicit Weather(Random& random)
      : crashes(random.once_in(2)),
        bad_disks(random.once_in(3)),
        clocks(random.once_in(3)),
        restores(random.once_in(2)),
        hub_restores(random.once_in(2)),
        clones(random.once_in(4)),
        revokes(random.once_in(6)),
        bundles(random.once_in(2)),
        couriers(random.once_in(4)),
        keys(random.once_in(4)),
        liar(random.once_in(4)),
        hub_keys(random.once_in(5)),
        several_hubs(random.once_in(6)),
        updates(random.once_in(3)),
        partitions(random.once_in(2)),
        proofs(random.once_in(3)) {
    // All hubs have one key, which is given to each by a person; that is not played here.
    if (several_hubs) hub_keys = false;
    // Each hub may keep another branch of a log under its id when the shared log has lost which was first.
    // Only a person can mend that (log_follower.h).
    forgets = several_hubs && !clones && !restores;
  }
  bool crashes, bad_disks, clocks, restores, hub_restores, clones, revokes, bundles, couriers, keys, liar, hub_keys, several_hubs, updates, partitions, proofs;
  bool forgets = false;
};

class Schedule {
 public:
  explicit Schedule(std::uint64_t seed) : random_(seed), weather_(random_), world_(seed, sites_of(random_), random_), work_(world_, random_) {
    world_.is_lossy = random_.below(3) != 0;
    world_.tampers = random_.once_in(5);
  }

  void run(Outcome& out) {
    if (weather_.several_hubs) world_.add_hubs(1 + random_.below(2));
    work_.prepare();
    if (weather_.proofs) world_.ask_for_proofs();
    for (auto& site : world_.sites()) site->is_offline = weather_.couriers && random_.once_in(2);
    if (weather_.liar) liar_.emplace(world_, random_);
    const std::uint64_t steps = 20 + random_.below(51);
    for (; out.steps < steps; ++out.steps) {
      step();
      if (random_.once_in(kLooksEvery)) look(out);
    }
    world_.calm_down();
    world_.settle();
    out.checked = check_all(world_);
  }

  World& world() { return world_; }

 private:
  // About this many steps lie between two looks, since a look costs as much as a step or two.
  static constexpr std::uint64_t kLooksEvery = 40;

  void look(Outcome& out) {
    check_kept(world_);
    check_on_the_way(world_, any_site());
    ++out.looks;
  }

  static std::size_t sites_of(Random& random) {
    const std::uint64_t draw = random.below(20);
    return static_cast<std::size_t>(draw < 14 ? 2 + random.below(3) : draw < 19 ? 5 + random.below(3) : 8 + random.below(5));
  }

  Site& any_site() {
    return random_.once_in(4) ? world_.any_hub() : *random_.pick(world_.sites());
  }

  void step() {
    let_time_pass();
    Site& site = any_site();
    if (!site.replica) {
      if (--site.down_for <= 0) world_.switch_on(site);
    } else if (liar_ && random_.once_in(6)) {
      liar_->act();
    } else if (weather_.proofs && !world_.is_hub(site) && random_.once_in(5)) {
      world_.prove(site, work_.who(site));
    } else if (random_.once_in(3)) {
      go_wrong(site);
    } else if (random_.below(3) != 0 || world_.is_hub(site)) {
      work_.act(site);
    } else if (site.is_revoked && weather_.bundles) {
      world_.swap_bundle(site, world_.any_hub());  // Somebody brings what is on it.
    } else if (site.is_offline) {
      world_.note("courier");
      random_.once_in(2) ? world_.swap_bundle(site, world_.any_hub()) : world_.swap_bundle(world_.any_hub(), site);
    } else if (site.out_of_reach_for == 0) {
      world_.begin_exchange(site);
    }
    world_.deliver_some();
  }

  void let_time_pass() {
    const WallMs passed = random_.below(600'000);
    world_.counts().virtual_ms += passed;
    for (Site* site : world_.all()) {
      site->clock += passed;
      if (site->out_of_reach_for > 0) --site->out_of_reach_for;
    }
  }

  void go_wrong(Site& site) {
    const bool is_hub = world_.is_hub(site);
    if (site.shared && random_.once_in(4)) return disturb_shared_log(site);
    const auto soon = [&] { return static_cast<std::uint32_t>(random_.below(12)); };
    std::uint64_t what = random_.below(16);
    // A hub is not cloned, revoked or carried out of reach; it is restored the more often.
    if (is_hub && (what == 8 || what == 9)) what = 6;
    if (is_hub && what == 15) what = 7;
    switch (what) {
      case 0: case 1:
        if (!weather_.crashes) break;
        world_.note("crash between two writes");
        if (random_.once_in(4)) {
          site.disk.power_off();
          world_.switch_off_if_down(site);
        } else {
          site.disk.crash_after(soon());
        }
        break;
      case 2:
        if (!weather_.bad_disks) break;
        if (random_.once_in(2)) {
          world_.note("disk full");
          site.disk.fill_after(soon());
        } else {
          site.disk.heal();
        }
        break;
      case 3:
        if (!weather_.bad_disks) break;
        world_.note("I/O error");
        site.disk.fail_once_after(soon() * 3);
        break;
      case 4:
        if (!weather_.clocks) break;
        world_.note("clock between 1970 and 2099");
        site.clock = random_.once_in(3) ? World::kStartMs + world_.counts().virtual_ms : random_.below(4'070'908'800'000);
        break;
      case 5:
        world_.note("restart");
        world_.switch_on(site);
        break;
      case 6:
        world_.back_up(site);
        break;
      case 7:
        if (!(is_hub ? weather_.hub_restores : weather_.restores)) break;
        if (!site.backup) {
          world_.back_up(site);
          break;
        }
        world_.note(is_hub ? "hub restored" : site.is_fenced ? "tablet restored, fenced" : "tablet restored, no fence");
        world_.restore(site);
        break;
      case 8:
        if (!weather_.clones || world_.sites().size() >= 12) break;
        world_.note(site.is_fenced ? "tablet cloned, fenced" : "tablet cloned, no fence");
        world_.clone(site);
        break;
      case 9:
        if (!weather_.revokes || !world_.hub().replica) break;
        world_.note("device revoked");
        if (liar_ && random_.once_in(2)) {
          world_.revoke(liar_->key());
        } else {
          world_.revoke(site);
        }
        break;
      case 10:
        if (weather_.bundles) world_.swap_bundle(site, any_site());
        break;
      case 11:
        if (is_hub) {
          if (weather_.hub_keys) world_.rekey_hub(random_.once_in(2) ? Replica::OldKey::kLost : Replica::OldKey::kSigns);
        } else if (weather_.keys) {
          world_.rekey(site);
        }
        break;
      case 12: case 13:
        if (!is_hub) world_.repin(site);
        break;
      case 14:
        if (weather_.updates) world_.update_release(site);
        break;
      default:
        if (!weather_.partitions) break;
        world_.note("partition");
        site.out_of_reach_for = 5 + static_cast<int>(random_.below(30));
        break;
    }
  }

  void disturb_shared_log(Site& hub) {
    switch (random_.below(weather_.forgets ? 6 : 3)) {
      case 0:
        world_.note("append out of reach");
        hub.shared->next_append = MemorySharedLog::Fault::kUnreachable;
        break;
      case 1:
        world_.note("append kept unheard");
        hub.shared->next_append = MemorySharedLog::Fault::kKeptUnheard;
        break;
      case 2: {
        Site& other = world_.any_hub();
        if (&other == &hub) break;
        hub.shared->before_append = [this, &other] {
          // Not while one acts in this way already: that one's own write is open.
          if (!other.replica || is_another_first_) return;
          is_another_first_ = true;
          world_.note("another hub was first");
          work_.act(other);
          is_another_first_ = false;
        };
        break;
      }
      default:
        world_.forget_batches();
        break;
    }
  }

  bool is_another_first_ = false;
  Random random_;
  Weather weather_;
  World world_;
  Work work_;
  std::optional<Liar> liar_;
};

}  // namespace

Outcome run_schedule(std::uint64_t seed) {
  Outcome out;
  std::optional<Schedule> schedule;
  try {
    schedule.emplace(seed);
    schedule->run(out);
  } catch (const Finding& finding) {
    out.is_sound = false;
    out.what = finding.what;
  }
  if (!schedule) return out;
  out.counts = schedule->world().counts();
  for (Site* site : schedule->world().all()) {
    const DiskCounts& counts = site->disk.counts();
    out.disks.calls += counts.calls, out.disks.crashes += counts.crashes, out.disks.kept += counts.kept;
    out.disks.dropped += counts.dropped, out.disks.torn += counts.torn;
    out.disks.full += counts.full, out.disks.errors += counts.errors;
  }
  return out;
}

std::uint64_t schedule_seed(std::uint64_t run_seed, std::uint64_t n) {
  return n == 0 ? run_seed : Random(run_seed ^ (n * 0x9e3779b97f4a7c15ull)).next() >> 32;
}

void Totals::add(const Outcome& outcome) {
  ++schedules;
  steps += outcome.steps, looks += outcome.looks;
  replicas += outcome.checked.replicas, changes += outcome.checked.changes;
  disagreements += outcome.checked.disagreements, held += outcome.checked.held, branches += outcome.checked.branches;
  for (const auto& [kind, count] : outcome.counts.faults) counts.faults[kind] += count;
  counts.messages += outcome.counts.messages;
  counts.acknowledged += outcome.counts.acknowledged;
  counts.lost_with_disk += outcome.counts.lost_with_disk;
  counts.dropped_with_key += outcome.counts.dropped_with_key;
  counts.virtual_ms += outcome.counts.virtual_ms;
  disks.calls += outcome.disks.calls, disks.crashes += outcome.disks.crashes, disks.kept += outcome.disks.kept;
  disks.dropped += outcome.disks.dropped, disks.torn += outcome.disks.torn;
  disks.full += outcome.disks.full, disks.errors += outcome.disks.errors;
}

std::string Totals::text() const {
  const auto n = [](std::uint64_t value) { return std::to_string(value); };
  std::string out = "simulation: " + n(schedules) + " schedules, " + n(steps) + " steps with " + n(looks) + " looks on the way, " + n(counts.virtual_ms / 3'600'000) +
                    " hours of virtual time, " + n(replicas) + " replicas and " + n(changes) + " changes compared at the end, " +
                    n(counts.acknowledged) + " acknowledged (" + n(counts.lost_with_disk) + " lost with the only disk that had them, " + n(counts.dropped_with_key) + " with the hub's key), " +
                    n(disagreements) + " disagreements, " + n(held) + " changes held, " + n(branches) + " branches, " +
                    n(counts.messages) + " messages\n";
  out += "  disks: " + n(disks.calls) + " changing calls, " + n(disks.crashes) + " crashes; of what was not synced " + n(disks.kept) +
         " kept, " + n(disks.dropped) + " dropped, " + n(disks.torn) + " torn; " + n(disks.full) + " calls found the disk full, " +
         n(disks.errors) + " I/O errors\n  faults:";
  for (const auto& [kind, count] : counts.faults) out += " " + kind + " " + n(count) + ";";
  return out + "\n";
}

}  // namespace wrackline
