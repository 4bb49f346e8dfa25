// A hub's reply at the north tablet, which has begun an exchange. Oracle: an error keeps nothing; else nothing held before is
// gone, the tablet verifies and is what a rebuild gives, and an honest exchange afterwards brings the south tablet's log to its
// end, unless the reply spoke for the hub's own log or that one.
#include <exchange.pb.h>

#include "fuzz_oracles.h"
#include "sealed_mutator.h"
#include "wire_mutator.h"

namespace wrackline::fuzz {
namespace {

void run(ByteView input) {
  World& world = World::get();
  Replica& north = world.use(Role::kNorth);
  insist(north.exchange({}).has_value(), "an exchange can begin");
  const auto next = north.exchange(input);
  if (!next) {
    const ErrorCode code = next.error().code;
    insist(code == ErrorCode::kMalformed || code == ErrorCode::kTooLarge || code == ErrorCode::kWrongFacility || code == ErrorCode::kUnsupported,
           "a reply is refused for a documented reason, not for: " + next.error().message);
    insist_untouched(north, Role::kNorth, "taking in a reply");
    return;
  }
  proto::ExchangeRequest request;
  insist(next->empty() || request.ParseFromString(*next), "the request after a reply can be read");
  const LogId hub = world.log(Role::kHub), south = world.log(Role::kSouth);
  const Standing before = world.standing(Role::kNorth);
  if (!insist_sound(north, Role::kNorth, "taking in a reply")) {
    // The words heard of the hub are no part of the state that is compared.
    if (input.size() > 64) world.spoil(Role::kNorth);
    return;
  }
  const Standing now = standing_of(north);
  if (now.heads.at(hub).root != before.heads.at(hub).root || now.heads.at(south).root != before.heads.at(south).root) return;
  insist(north.exchange({}).has_value(), "another exchange can begin");
  for (const Bytes& honest : world.replies_to_north())
    insist(north.exchange(honest).has_value(), "an honest reply is taken in afterwards");
  insist_holds_all_of(north, south, "after a reply");
}

Bytes mutate(ByteView input, Random& random) {
  proto::ExchangeReply reply;
  if (!reply.ParseFromArray(input.data(), static_cast<int>(input.size()))) return mutate_bytes(input, random);
  if (reply.segments().empty() || random.once_in(4)) return mutate_message(input, random);
  mutate_segments(*reply.mutable_segments(), random);
  return reply.SerializeAsString();
}

std::vector<Seed> seeds() {
  std::vector<Seed> out;
  for (const Bytes& reply : World::get().replies_to_north()) out.push_back({"reply", reply});
  return out;
}

}  // namespace

const Target kExchangeReplyTarget{"exchange_reply", run, mutate, seeds};

}  // namespace wrackline::fuzz
