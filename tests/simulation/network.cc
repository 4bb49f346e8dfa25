// The part of World that lies between the machines: messages, bundles, and the exchanges of the calm at the end.
#include <exchange.pb.h>

#include <algorithm>

#include "simulation/world.h"
#include "store/store.h"
#include "sync/exchange.h"

namespace wrackline {
namespace {

using Vectors = std::map<LogId, std::pair<Seq, std::uint64_t>>;

Vectors vectors_of(Site& site) {
  need(site.replica->store().refresh(), site.name + " is looked at");
  Vectors out;
  for (const auto& [log, point] : vector_of(site.replica->store())) out[log] = {point.seq, point.head};
  return out;
}

}  // namespace

void World::send(Message message) {
  ++counts_.messages;
  if (message.site->out_of_reach_for > 0) return note("out of reach");
  if (is_lossy && random_.once_in(6)) return note("message lost");
  if (is_lossy && random_.once_in(8)) {
    note("message repeated");
    under_way_.push_back(message);
  }
  if (tampers && random_.once_in(4)) message.bytes = tampered(message);
  under_way_.push_back(std::move(message));
}

// One segment's seal or content is no longer what its device made.
Bytes World::tampered(const Message& message) {
  const auto tamper = [&](auto parsed) -> Bytes {
    if (!parsed.ParseFromString(message.bytes) || parsed.segments_size() == 0) return message.bytes;
    proto::Segment& segment = *parsed.mutable_segments(static_cast<int>(random_.below(static_cast<std::uint64_t>(parsed.segments_size()))));
    std::string* const parts[] = {segment.mutable_body(), segment.mutable_seeds(), segment.mutable_sealing()->mutable_signature(),
                                  segment.mutable_sealing()->mutable_root()};
    std::string& part = *parts[random_.below(4)];
    if (part.empty()) return message.bytes;
    part[random_.below(part.size())] ^= static_cast<char>(1u << random_.below(8));
    note("message altered");
    return parsed.SerializeAsString();
  };
  return message.is_reply ? tamper(proto::ExchangeReply()) : tamper(proto::ExchangeRequest());
}

void World::begin_exchange(Site& site) {
  auto request = run(site, "beginning an exchange", [](Replica& replica) { return replica.exchange({}); });
  if (request && !request->empty()) send({&site, false, *request});
}

void World::deliver(const Message& message) {
  Site& site = *message.site;
  Site& to = message.is_reply ? site : any_hub();
  if (!to.replica) return note("receiver down");
  if (site.out_of_reach_for > 0) return note("out of reach");
  if (message.is_reply && to.replica->last_exchange() == nullptr) return;
  const PublicKey peer = site.keystore->public_key();
  auto answer = message.is_reply ? run(to, "reading a reply", [&](Replica& r) { return r.exchange(message.bytes); })
                                 : run(to, "answering", [&](Replica& r) { return r.answer_exchange(message.bytes, peer); });
  if (answer && !answer->empty()) send({&site, !message.is_reply, *answer});
  if (!answer && to.disk.is_down()) note("crash in an exchange");
}

void World::deliver_some() {
  for (int i = 0; i < 2 && !under_way_.empty(); ++i) {
    const std::size_t at = is_lossy ? random_.below(under_way_.size()) : 0;
    if (is_lossy && random_.once_in(3)) {
      note("message kept back");
      continue;
    }
    const Message message = std::move(under_way_[at]);
    under_way_.erase(under_way_.begin() + static_cast<std::ptrdiff_t>(at));
    deliver(message);
  }
}

void World::swap_bundle(Site& from, Site& to) {
  if (&from == &to || !from.replica || !to.replica) return;
  auto bundle = run(from, "writing a bundle", [](Replica& replica) { return replica.export_bundle({}); });
  if (!bundle || !to.replica) return;
  note("bundle carried");
  const std::uint64_t faults = to.disk.faults();
  if (tampers && random_.once_in(2)) {
    Bytes altered = bundle->bytes;
    altered[random_.below(altered.size())] ^= static_cast<char>(1u << random_.below(8));
    note("bundle altered");
    const auto taken = to.replica->import_bundle(altered, false);
    expect(!taken, to.name + " took in a bundle that was altered on the way");
    switch_off_if_down(to);
    return;
  }
  auto taken = run(to, "reading a bundle", [&](Replica& r) { return r.import_bundle(bundle->bytes, random_.once_in(6)); });
  if (taken || to.disk.faults() != faults) return;
  if (to.shared && (taken.error().code == ErrorCode::kTransport || taken.error().code == ErrorCode::kBusy)) return;
  const bool is_of_branches = taken.error().code == ErrorCode::kFork || taken.error().code == ErrorCode::kBadSeal ||
                              taken.error().code == ErrorCode::kLogGap;
  const bool somebody_is_revoked = std::any_of(sites_.begin(), sites_.end(), [](const auto& s) { return s->is_revoked; });
  expect((is_of_branches && may_have_branches_) || (taken.error().code == ErrorCode::kRevokedDevice && somebody_is_revoked),
         to.name + " refused the bundle of " + from.name + ": " + taken.error().message);
}

bool World::whole_exchange(Site& site, Site& hub) {
  Bytes reply;
  for (int round = 0; round < 100; ++round) {
    const Bytes request = need(site.replica->exchange(reply), site.name + " exchanges in the calm");
    if (request.empty()) return true;
    auto answer = in_step(hub, [&](Replica& replica) { return replica.answer_exchange(request, site.keystore->public_key()); });
    if (!answer && answer.error().code == ErrorCode::kRevokedDevice) return true;
    reply = need(std::move(answer), hub.name + " answers " + site.name + " in the calm");
  }
  return false;
}

// A bundle there and one back. True when nothing is left to carry.
bool World::whole_courier(Site& site, Site& hub) {
  const auto carry = [this](Site& from, Site& to) {
    const WrittenBundle bundle = need(in_step(from, [](Replica& replica) { return replica.export_bundle({}); }), from.name + " writes a bundle in the calm");
    need(in_step(to, [&](Replica& replica) { return replica.import_bundle(bundle.bytes, false); }), to.name + " reads the bundle of " + from.name + " in the calm");
  };
  carry(site, hub);
  carry(hub, site);
  return true;
}

void World::calm_down() {
  is_lossy = tampers = false;
  for (Site* site : all()) {
    site->out_of_reach_for = 0;
    // A failure of the last calls belongs to the faults: a machine may still go down.
    if (site->replica) site->disk.heal();
    if (site->shared) site->shared->next_append = MemorySharedLog::Fault::kNone, site->shared->before_append = {};
    for (int tries = 0; !site->replica && tries < 20; ++tries) switch_on(*site);
    expect(site->replica != nullptr, site->name + " does not come up again");
  }
  end_key_changes();
  const bool arrives_late = random_.once_in(2);
  while (!under_way_.empty()) {
    random_.shuffle(under_way_);
    const Message message = std::move(under_way_.back());
    under_way_.pop_back();
    if (arrives_late) note("message late"), deliver(message);
  }
}

void World::settle() {
  constexpr int kRoundsMax = 12;
  for (int round = 0; round < kRoundsMax; ++round) {
    std::vector<Vectors> before, after;
    bool are_equal = true;
    for (Site* site : all()) before.push_back(vectors_of(*site));
    for (Site* hub : hubs()) {
      if (hub->shared) need(hub->replica->catch_up(), hub->name + " reads on in the calm");
    }
    for (auto& site : sites_) {
      const DeviceStanding standing = need(hub_->replica->device_standing(site->keystore->public_key()), "asking the hub");
      site->is_revoked = standing == DeviceStanding::kRevoked;
      if (site->is_revoked) continue;
      for (Site* hub : hubs()) {
        expect(site->is_offline ? whole_courier(*site, *hub) : whole_exchange(*site, *hub), "an exchange of " + site->name + " does not end");
      }
    }
    for (Site* hub : hubs()) {
      if (hub->shared) need(hub->replica->catch_up(), hub->name + " reads on in the calm");
    }
    for (Site* site : all()) {
      after.push_back(vectors_of(*site));
      are_equal = are_equal && (site->is_revoked || after.back() == after.front());
    }
    if (are_equal && before == after) return;
  }
  std::string what = "after " + std::to_string(kRoundsMax) + " rounds of calm exchanges replicas still hold different changes:";
  const Vectors at_hub = vectors_of(*hub_);
  for (auto& site : sites_) {
    if (site->is_revoked) continue;
    for (const auto& [log, point] : vectors_of(*site)) {
      const auto there = at_hub.find(log);
      if (there != at_hub.end() && there->second == point) continue;
      what += "\n  " + site->name + " has " + to_text(log) + " up to " + std::to_string(point.first) + ", the hub " +
              (there == at_hub.end() ? "nothing" : "up to " + std::to_string(there->second.first));
    }
    const Vectors here = vectors_of(*site);
    for (const auto& [log, point] : at_hub) {
      if (here.count(log) == 0) what += "\n  " + site->name + " lacks " + to_text(log) + ", of which the hub has up to " + std::to_string(point.first);
    }
    const Exchange* last = site->replica->last_exchange();
    if (last == nullptr) continue;
    for (const RefusedLog& refused : last->refused()) {
      what += "\n  " + site->name + ": " + error_word(refused.error.code) + " " + refused.error.message;
    }
  }
  throw Finding{what};
}

}  // namespace wrackline
