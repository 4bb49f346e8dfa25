// A request to the hub from the north tablet. Oracle: an error keeps nothing; an answer can be read, nothing held before is
// gone, the hub verifies and is what a rebuild gives, the same request again brings nothing, and the south tablet, whose log
// was not touched, is taken in to its end.
#include <exchange.pb.h>

#include <set>

#include "fuzz_oracles.h"
#include "sealed_mutator.h"
#include "sync/exchange.h"
#include "wire_mutator.h"

namespace wrackline::fuzz {
namespace {

bool is_documented(ErrorCode code) {
  return code == ErrorCode::kMalformed || code == ErrorCode::kTooLarge || code == ErrorCode::kWrongFacility || code == ErrorCode::kUnsupported;
}

proto::ExchangeReply insist_reply(const Bytes& answer) {
  proto::ExchangeReply reply;
  insist(reply.ParseFromString(answer), "the hub's answer can be read");
  insist(reply.protocol() == kProtocol && reply.facility() == view(World::get().facility()), "the hub's answer is one of this facility");
  for (const proto::Refusal& refusal : reply.refusals())
    insist(refusal.code() != 0 && !refusal.message().empty(), "a refused log comes with its reason");
  return reply;
}

void run(ByteView input) {
  World& world = World::get();
  Replica& hub = world.use(Role::kHub);
  const PublicKey north = world.keystore(Role::kNorth).public_key();
  const auto answer = hub.answer_exchange(input, north);
  if (!answer) {
    insist(is_documented(answer.error().code), "a request is refused for a documented reason, not for: " + answer.error().message);
    insist_untouched(hub, Role::kHub, "answering a request");
    return;
  }
  insist_reply(*answer);
  const LogId south = world.log(Role::kSouth);
  const LogHead south_before = world.standing(Role::kHub).heads.at(south);
  if (!insist_sound(hub, Role::kHub, "answering a request")) return;
  const Standing once = standing_of(hub);
  const auto again = hub.answer_exchange(input, north);
  insist(again.has_value(), "a request that was answered is answered again");
  insist(standing_of(hub) == once, "a request that comes twice brings nothing the second time");
  if (once.heads.at(south).root != south_before.root) return;
  for (const Bytes& request : world.south_requests()) {
    const auto honest = hub.answer_exchange(request, world.keystore(Role::kSouth).public_key());
    insist(honest.has_value(), "another device's request is answered afterwards");
    const proto::ExchangeReply reply = insist_reply(*honest);
    for (const proto::Refusal& refusal : reply.refusals())
      insist(refusal.log() != south.value, "another device's log is not refused afterwards");
  }
  insist_holds_all_of(hub, south, "after a request");
}

Bytes mutate(ByteView input, Random& random) {
  proto::ExchangeRequest request;
  if (!request.ParseFromArray(input.data(), static_cast<int>(input.size()))) return mutate_bytes(input, random);
  if (request.segments().empty() || random.once_in(4)) return mutate_message(input, random);
  mutate_segments(*request.mutable_segments(), random);
  return request.SerializeAsString();
}

std::vector<Seed> seeds() {
  std::vector<Seed> out;
  for (const Bytes& request : World::get().north_requests()) out.push_back({"north", request});
  for (const Bytes& request : World::get().south_requests()) out.push_back({"south", request});
  // It builds on a vector that the hub has never told.
  proto::ExchangeRequest built;
  insist(built.ParseFromString(World::get().north_requests().back()), "an honest request can be read");
  built.mutable_vector()->set_base(Bytes(16, 'v'));
  out.push_back({"north_on_unknown", built.SerializeAsString()});
  return out;
}

}  // namespace

const Target kExchangeRequestTarget{"exchange_request", run, mutate, seeds};

}  // namespace wrackline::fuzz
