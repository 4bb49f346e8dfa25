// The part of World in which several hubs share one log.
#include "simulation/world.h"
#include "store/store.h"

namespace wrackline {

void World::add_hubs(std::size_t count) {
  shared_ = std::make_shared<SharedBatches>();
  for (std::size_t i = 0; i < count; ++i) {
    auto made = std::make_unique<Site>("hub" + std::to_string(i + 1), hub_->keystore, Random(random_.next()), false);
    made->clock = hub_->clock;
    made->disk.put_back(hub_->copy());
    need(made->open_alone(), "opening another hub");
    need(made->replica->author().leave_logs(), "another hub opens a log of its own");
    more_hubs_.push_back(std::move(made));
  }
  for (Site* hub : hubs()) {
    hub->shared = std::make_unique<MemorySharedLog>(shared_);
    hub->replica->follow(*hub->shared);
    need(hub->replica->catch_up(), hub->name + " reads on");
  }
}

std::vector<Site*> World::hubs() {
  std::vector<Site*> out = {hub_.get()};
  for (auto& hub : more_hubs_) out.push_back(hub.get());
  return out;
}

void World::forget_batches() {
  shared_->forget(1 + random_.below(3));
  note("shared log forgot its end");
  // Among it may be a revocation, of which the other hubs have not heard.
  known_when_revoked_.clear();
}

}  // namespace wrackline
