// Goal: what schedules of some dozens of steps show stays so through thousands of exchanges and edits of the same few records, when
// logs are long, histories deep and runs packed again and again. Method: few devices, few faults, and oracles that do not cost more
// the longer it goes on: no plain merge, whose time grows with the square of what was said of a record.
#include <catch2/catch.hpp>
#include <cstdio>

#include "simulation/oracles.h"
#include "simulation/work.h"

using namespace wrackline;

namespace {

constexpr std::uint64_t kSteps = 4'000, kLooksEvery = 500;

class LongRun {
 public:
  explicit LongRun(std::uint64_t seed) : random_(seed), world_(seed, 2, random_), work_(world_, random_) {}

  void run() {
    work_.prepare();
    for (std::uint64_t step = 1; step <= kSteps; ++step) {
      for (Site* site : world_.all()) site->clock += random_.below(kHourMs);
      Site& site = random_.once_in(3) ? world_.hub() : *random_.pick(world_.sites());
      work_.act(site);
      if (random_.once_in(50)) world_.switch_on(site);
      Site& other = *random_.pick(world_.sites());
      expect(world_.whole_exchange(other, world_.hub()), "an exchange of " + other.name + " does not end");
      ++exchanges_;
      if (step % kLooksEvery == 0) look();
    }
    check_seals(world_.hub(), world_.person());
  }

  std::string text() const {
    return "long run: " + std::to_string(exchanges_) + " exchanges, " + std::to_string(acknowledged_) + " changes acknowledged; " + std::to_string(looks_) + " looks\n";
  }

 private:
  void look() {
    ++looks_;
    acknowledged_ = world_.counts().acknowledged;
    world_.settle();
    check_kept(world_);
    const std::string state = state_of(world_.hub());
    const Bytes review = review_of(world_.hub(), world_.person());
    for (Site* site : world_.all()) {
      expect(state_of(*site) == state, site->name + " shows another state than the hub");
      expect(review_of(*site, world_.person()) == review, site->name + " has another review queue than the hub");
    }
    Site& one = *world_.all()[looks_ % world_.all().size()];
    check_rebuild(one, world_.person());
    check_seals(one, world_.person());
  }

  Random random_;
  World world_;
  Work work_;
  std::uint64_t exchanges_ = 0, acknowledged_ = 0, looks_ = 0;
};

}  // namespace

TEST_CASE("through thousands of exchanges and edits of few records all replicas stay equal and whole", "[simulation][long]") {
  const std::uint64_t seed = test_random("a long run").next() >> 32;
  LongRun run(seed);
  try {
    run.run();
    SUCCEED();
  } catch (const Finding& finding) {
    FAIL_CHECK(finding.what << "\nseed of the run " << seed);
  }
  std::printf("%s", run.text().c_str());
}
