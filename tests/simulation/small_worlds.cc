#include "simulation/small_worlds.h"

#include <proof.pb.h>

#include <algorithm>
#include <cstdio>
#include <ctime>
#include <iterator>
#include <map>
#include <unordered_map>

#include "simulation/small_worlds_acts.h"

namespace wrackline {
namespace {

// Any would do. It makes the log ids, and so the order in which rebuilds and exchanges go through logs.
constexpr std::uint64_t kSeed = 1;
constexpr std::size_t kExchangeRounds = 2;

using MachineNo = std::uint32_t;
using SmallWorld = std::array<MachineNo, kDesks>;

struct Machine {
  SiteState state;
  SiteFacts facts;
};

// A world that was seen, and how it was come to first.
struct Seen {
  SmallWorld world{};
  std::uint32_t from = 0;
  std::uint16_t act = 0;
};

class Exploration {
 public:
  explicit Exploration(const WorldsBudget& budget)
      : budget_(budget), stage_(kSeed), opening_(open_small_world(stage_)), acts_(small_world_acts(opening_)) {}

  WorldsReport run() {
    return report([this] { go(); });
  }

  WorldsReport replay(const std::vector<std::string>& words) {
    return report([&] {
      SmallWorld world = open();
      for (const std::string& each : words) {
        const auto act = std::find_if(acts_.begin(), acts_.end(), [&](const SmallAct& a) { return a.words == each; });
        expect(act != acts_.end(), "there is no act \"" + each + "\"");
        trail_.calm.push_back(static_cast<std::uint16_t>(act - acts_.begin()));
        world = step(world, trail_.calm.back());
        ++report_.steps;
      }
      check_calm(world);
    });
  }

 private:
  template <typename Explore>
  WorldsReport report(Explore explore) {
    report_.acts = acts_.size();
    report_.calm_depth = budget_.calm_depth;
    start_ = std::clock();
    try {
      explore();
    } catch (const Finding& finding) {
      report_.failure = {path(), finding.what};
    }
    report_.worlds = seen_.size();
    report_.machines = machines_.size();
    report_.seconds = seconds();
    return report_;
  }

  SmallWorld open() {
    SmallWorld first{};
    for (std::size_t i = 0; i < kDesks; ++i) {
      stage_.set_out(static_cast<Desk>(i), opening_.states[i]);
      first[i] = enter(static_cast<Desk>(i));
      stage_.put_away(static_cast<Desk>(i));
    }
    return first;
  }

  void go() {
    arrive(open(), 0, 0);
    for (std::size_t begin = 0, end = 1; report_.depth < budget_.depth_max && begin < end; begin = end, end = seen_.size()) {
      at_depth_ = report_.depth + 1;
      for (std::size_t at = begin; at < end; ++at) {
        if (seconds() > budget_.seconds) return report_.begun = at - begin, report_.left = end - at, compare_twins();
        go_on_from(static_cast<std::uint32_t>(at));
      }
      ++report_.depth;
    }
    compare_twins();
  }

  double seconds() const { return static_cast<double>(std::clock() - start_) / CLOCKS_PER_SEC; }

  void go_on_from(std::uint32_t at) {
    for (std::size_t act = 0; act < acts_.size(); ++act) {
      trail_ = {at, {static_cast<std::uint16_t>(act)}};
      ++report_.steps;
      arrive(step(seen_[at].world, act), at, static_cast<std::uint16_t>(act));
    }
  }

  void arrive(const SmallWorld& world, std::uint32_t from, std::uint16_t act) {
    if (!known_.insert(key_of(world)).second) {
      ++report_.merged;
      return;
    }
    seen_.push_back({world, from, act});
    trail_ = {static_cast<std::uint32_t>(seen_.size() - 1), {}};
    if (at_depth_ <= budget_.calm_depth) check_calm(world);
  }

  static std::string key_of(const SmallWorld& world) { return std::string(reinterpret_cast<const char*>(world.data()), sizeof world); }

  // The act, played on the core unless these machines have seen it before.
  SmallWorld step(const SmallWorld& before, std::size_t number) {
    const SmallAct& act = acts_[number];
    std::vector<std::uint32_t> question = {static_cast<std::uint32_t>(number)};
    for (const Desk desk : act.touches) question.push_back(before[desk]);
    auto known = played_.find(question);
    if (known == played_.end()) known = played_.emplace(question, play(act, before)).first;
    SmallWorld after = before;
    for (std::size_t i = 0; i < act.touches.size(); ++i) after[act.touches[i]] = known->second[i];
    return after;
  }

  bool set_out_and_play(const SmallAct& act, const std::vector<const SiteState*>& states) {
    ++report_.played;
    for (std::size_t i = 0; i < act.touches.size(); ++i) stage_.set_out(act.touches[i], *states[i]);
    return act.play(stage_);
  }

  std::vector<MachineNo> play(const SmallAct& act, const SmallWorld& before) {
    std::vector<const SiteState*> states;
    for (const Desk desk : act.touches) states.push_back(&machines_[before[desk]].state);
    const bool is_done = set_out_and_play(act, states);
    std::vector<MachineNo> after;
    for (const Desk desk : act.touches) {
      if (!is_done) stage_.state(desk).written = machines_[before[desk]].state.written;  // No minute passed.
      const MachineNo number = enter(desk);
      after.push_back(number);
      expect(is_done || number == before[desk], stage_.at(desk).name + " has changed though it refused");
      if (act.loses_disk && desk == act.touches.front()) continue;
      const std::vector<ChangeKey>&was = machines_[before[desk]].facts.held, &is = machines_[number].facts.held;
      expect(std::includes(is.begin(), is.end(), was.begin(), was.end()), stage_.at(desk).name + " has lost changes that it held");
    }
    report_.refused += !is_done;
    for (const Desk desk : act.touches) stage_.put_away(desk);
    return after;
  }

  // The number of the machine that stands there. A new one is looked at closely; of one that is known it is seen that it still shows the same.
  MachineNo enter(Desk desk) {
    const Bytes key = std::string(1, static_cast<char>('0' + desk)) + stage_.key_of(desk);
    SiteFacts facts = stage_.facts_of(desk);
    check_set(desk, facts);
    const auto known = numbers_.find(key);
    if (known != numbers_.end()) {
      expect(machines_[known->second].facts.held == facts.held, "two machines with one key hold other changes");
      if (twins_.size() < budget_.twins_max && known->second != last_twin_) {
        twins_.push_back({desk, known->second, stage_.keep(desk)});
        last_twin_ = known->second;
      }
      return known->second;
    }
    SiteState kept = stage_.keep(desk);
    stage_.check_backup(desk, kept, facts);
    ++report_.backups;
    machines_.push_back({std::move(kept), std::move(facts)});
    return numbers_[key] = static_cast<MachineNo>(machines_.size() - 1);
  }

  // Whoever holds the same changes shows the same, wherever and whenever.
  void check_set(Desk desk, const SiteFacts& facts) {
    ++report_.sets;
    const auto [shown, is_new] = shown_.emplace(facts.changes, std::make_pair(facts.shown, desk));
    expect(is_new || shown->second.first == facts.shown, std::string(Stage::name_of(desk)) + " shows another state than " + Stage::name_of(shown->second.second) +
                                                            " did, which held the same changes");
  }

  // All exchange, twice, and are equal; and again in the other order.
  void check_calm(const SmallWorld& world) {
    std::vector<Desk> order(kDevices.begin(), kDevices.end());
    const SmallWorld there = calm(world, order);
    std::reverse(order.begin(), order.end());
    const SmallWorld back = calm(world, order);
    const SiteFacts &a = machines_[there[kHub]].facts, &b = machines_[back[kHub]].facts;
    // The first comer decides which branch of a log keeps its id, and which is held.
    if (a.has_branches || b.has_branches) return;
    // Changes that the hub has accepted stay so, though it hears only then that somebody may write no more.
    const std::vector<ChangeKey>& decided = machines_[world[kHub]].facts.decided;
    for (const Desk desk : kDevices) {
      const std::vector<ChangeKey>& there_too = machines_[world[desk]].facts.decided;
      if (!std::includes(decided.begin(), decided.end(), there_too.begin(), there_too.end())) return;
    }
    ++report_.orders;
    expect(a.held_out == b.held_out, "the hub holds something else when east and south exchange before north");
  }

  SmallWorld calm(SmallWorld world, const std::vector<Desk>& order) {
    ++report_.calms;
    const std::vector<std::uint16_t> until_then = trail_.calm;
    for (std::size_t round = 0; round < kExchangeRounds; ++round) {
      for (const Desk desk : order) {
        trail_.calm.push_back(exchange_of(desk));
        world = step(world, trail_.calm.back());
      }
    }
    const SiteFacts& hub = machines_[world[kHub]].facts;
    for (const Desk desk : order) {
      const SiteFacts& facts = machines_[world[desk]].facts;
      if (hub.enrolled.count(facts.device) == 0) continue;
      expect(facts.faults.empty(), std::string(Stage::name_of(desk)) + " does not verify when all have exchanged twice");
      expect(facts.changes == hub.changes, std::string(Stage::name_of(desk)) + " and the hub hold other changes when all have exchanged twice");
      expect(facts.shown == hub.shown, std::string(Stage::name_of(desk)) + " shows another state than the hub when all have exchanged twice");
    }
    trail_.calm = until_then;
    return world;
  }

  std::uint16_t exchange_of(Desk desk) const {
    const auto found = std::find_if(acts_.begin(), acts_.end(), [&](const SmallAct& act) { return act.is_exchange && act.touches.front() == desk; });
    return static_cast<std::uint16_t>(found - acts_.begin());
  }

  // From each of two machines that were merged the same acts lead to the same machines.
  void compare_twins() {
    for (const Twin& twin : twins_) {
      for (std::size_t number = 0; number < acts_.size(); ++number) {
        const SmallAct& act = acts_[number];
        if (std::find(act.touches.begin(), act.touches.end(), twin.desk) == act.touches.end()) continue;
        SmallWorld before = seen_.front().world;
        before[twin.desk] = twin.number;
        const SmallWorld after = step(before, number);
        std::vector<const SiteState*> states;
        for (const Desk desk : act.touches) states.push_back(desk == twin.desk ? &twin.state : &machines_[before[desk]].state);
        const bool is_done = set_out_and_play(act, states);
        for (const Desk desk : act.touches) {
          if (!is_done) stage_.state(desk).written = machines_[before[desk]].state.written;
          expect(enter(desk) == after[desk], "two machines that were merged part when " + act.words + ": " + stage_.at(desk).name);
        }
        for (const Desk desk : act.touches) stage_.put_away(desk);
        ++report_.twins;
      }
    }
  }

  std::vector<std::string> path() const {
    std::vector<std::string> out;
    if (seen_.empty()) return out;
    for (std::uint32_t at = trail_.from; at != 0; at = seen_[at].from) out.insert(out.begin(), acts_[seen_[at].act].words);
    for (const std::uint16_t act : trail_.calm) out.push_back(acts_[act].words);
    return out;
  }

  // Where it is at the moment: behind a world that was seen, some acts more.
  struct Trail {
    std::uint32_t from = 0;
    std::vector<std::uint16_t> calm;
  };
  struct Twin {
    Desk desk;
    MachineNo number;
    SiteState state;
  };

  WorldsBudget budget_;
  Stage stage_;
  Opening opening_;
  std::vector<SmallAct> acts_;
  std::clock_t start_ = 0;
  WorldsReport report_;
  Trail trail_;
  std::vector<Seen> seen_;
  std::set<std::string> known_;
  std::vector<Machine> machines_;
  std::unordered_map<Bytes, MachineNo> numbers_;
  std::map<std::vector<std::uint32_t>, std::vector<MachineNo>> played_;
  std::map<Bytes, std::pair<Bytes, Desk>> shown_;
  std::vector<Twin> twins_;
  unsigned at_depth_ = 0;  // So many acts lead to the worlds that are come to.
  MachineNo last_twin_ = ~MachineNo{0};
};

}  // namespace

std::string WorldsReport::text() const {
  const auto n = [](std::uint64_t value) { return std::to_string(value); };
  std::uint64_t sequences = 0, power = 1;
  for (unsigned i = 0; i < depth; ++i) sequences += power *= acts;
  char speed[80];
  std::snprintf(speed, sizeof speed, "%.0f transitions/s, %.1f s of processor time", seconds > 0 ? static_cast<double>(steps) / seconds : 0.0, seconds);
  std::string out = "small worlds: " + n(acts) + " acts, all " + n(sequences) + " sequences up to depth " + n(depth);
  if (begun + left > 0) out += " (and on from " + n(begun) + " of " + n(begun + left) + " worlds at that depth)";
  out += ": " + n(worlds) + " worlds seen, " + n(merged) + " merged; " + n(steps) + " transitions, " + n(played) + " acts played on the core (" + n(refused) +
         " refused), " + n(machines) + " different machines; " + speed + "\n  oracles: " + n(backups) + " backups restored, verified, rebuilt and merged plainly; " +
         n(sets) + " times a set of changes compared with what it showed before; " + n(calms) + " calms, to depth " + n(calm_depth) + "; " + n(orders) + " orders of arrival; " +
         n(twins) + " acts on from machines that were merged\n";
  if (failure) {
    out += "  FAILED: " + failure->what + "\n  after " + n(failure->acts.size()) + " acts:";
    for (const std::string& act : failure->acts) out += "\n    " + act;
    out += "\n";
  }
  return out;
}

WorldsReport replay_small_world(const std::vector<std::string>& acts) { return Exploration(WorldsBudget()).replay(acts); }

WorldsReport explore_small_worlds(const WorldsBudget& budget) { return Exploration(budget).run(); }

}  // namespace wrackline
