// Goal: what one side says of its vector is small when little has changed, and means the same as all of it, whoever has forgotten
// what. Method: vectors from a printed seed, and exchanges whose hub was started anew in between.
#include "sync/told_vectors.h"

#include <exchange.pb.h>

#include "support/random.h"
#include "support/shift.h"
#include "sync/exchange.h"

using namespace wrackline;

namespace {

VersionVector random_vector(Random& random) {
  VersionVector out;
  for (std::uint64_t i = random.below(12); i > 0; --i) out[LogId{1 + random.below(16)}] = {static_cast<Seq>(1 + random.below(3)), random.below(2)};
  return out;
}

bool same(const VersionVector& a, const VersionVector& b) {
  if (a.size() != b.size()) return false;
  for (const auto& [log, point] : a) {
    const auto there = b.find(log);
    if (there == b.end() || there->second.seq != point.seq || there->second.head != point.head) return false;
  }
  return true;
}

struct Talk {
  proto::ExchangeRequest request;
  proto::ExchangeReply reply;
};

// A whole exchange, as both sides said it.
std::vector<Talk> talk(Device& device, Device& hub) {
  std::vector<Talk> out;
  for (Bytes reply;;) {
    const Bytes request = must(device.replica->exchange(reply));
    if (request.empty()) return out;
    reply = must(hub.replica->answer_exchange(request, device.keystore->public_key()));
    Talk& said = out.emplace_back();
    REQUIRE(said.request.ParseFromString(request));
    REQUIRE(said.reply.ParseFromString(reply));
    REQUIRE(out.size() < 20);
  }
}

}  // namespace

TEST_CASE("a vector is told by what differs from one that is known", "[sync][vector]") {
  Random random = test_random("vectors");
  for (int i = 0; i < 2'000; ++i) {
    const VersionVector base = random_vector(random), vector = random_vector(random);
    REQUIRE(same(sum(base, difference(vector, base)), vector));
    REQUIRE(difference(vector, vector).empty());
    REQUIRE(same(base, vector) == (mark_of(base) == mark_of(vector)));
  }
}

TEST_CASE("a vector that was told is found by its mark, and the oldest are forgotten", "[sync][vector]") {
  ToldVectors told;
  VersionVector first;
  first[LogId{1}] = {1, 2};
  told.remember(first);
  REQUIRE(told.find(mark_of(first)) != nullptr);
  REQUIRE(told.find(Bytes(16, 'x')) == nullptr);
  REQUIRE(told.find({}) == nullptr);
  VersionVector large;
  for (std::uint64_t i = 1; i <= 10'000; ++i) large[LogId{i}] = {1, i};
  for (Seq i = 1; i <= 8; ++i) {
    large[LogId{1}].seq = i;
    told.remember(large);
    REQUIRE(told.find(mark_of(large)) != nullptr);
  }
  REQUIRE(told.find(mark_of(first)) == nullptr);
}

TEST_CASE("two sides that hold the same say so without an entry", "[sync][vector]") {
  TwoKeepers world;
  world.facility.exchange_all();
  (void)talk(world.north, world.facility.hub());
  const auto idle = talk(world.north, world.facility.hub());
  REQUIRE(idle.size() == 1);
  REQUIRE(idle[0].request.vector().entries_size() == 0);
  REQUIRE(idle[0].reply.vector().entries_size() == 0);

  Shift(world.north, world.facility.keeper()).meal(world.animal, world.food, 1, 1'000'000);
  const auto brought = talk(world.north, world.facility.hub());
  REQUIRE(brought[0].request.vector().entries_size() == 1);
  // The log that came, and the hub's log of arrivals.
  REQUIRE(brought[0].reply.vector().entries_size() == 2);
}

TEST_CASE("a hub that forgot what it told hears the whole vector before it takes anything in", "[sync][vector]") {
  TwoKeepers world;
  world.facility.exchange_all();
  Shift(world.north, world.facility.keeper()).meal(world.animal, world.food, 1, 1'000'000);
  world.facility.hub().reopen();
  const auto before = vector_of(world.facility.hub().replica->store());
  const Bytes first = must(world.north.replica->exchange({}));
  const Bytes answer = must(world.facility.hub().replica->answer_exchange(first, world.north.keystore->public_key()));
  REQUIRE(same(vector_of(world.facility.hub().replica->store()), before));
  proto::ExchangeReply reply;
  REQUIRE(reply.ParseFromString(answer));
  REQUIRE(reply.vector().base().empty());
  REQUIRE(reply.more());
  proto::ExchangeRequest next;
  REQUIRE(next.ParseFromString(must(world.north.replica->exchange(answer))));
  REQUIRE(next.vector().base().empty());
  REQUIRE(next.vector().entries_size() >= reply.vector().entries_size());
  REQUIRE(next.segments_size() == 1);
  const Bytes taken = must(world.facility.hub().replica->answer_exchange(next.SerializeAsString(), world.north.keystore->public_key()));
  must(world.north.replica->exchange(taken));
  // A meal and its portion, which went twice and were taken in once.
  REQUIRE(world.north.replica->last_exchange()->sent() == 2);
}

TEST_CASE("a device reaches hubs that each forget at once what they told", "[sync][vector]") {
  TwoKeepers world;
  world.facility.exchange_all();
  Shift(world.north, world.facility.keeper()).meal(world.animal, world.food, 1, 1'000'000);
  Device& hub = world.facility.hub();
  int rounds = 0;
  for (Bytes reply;; ++rounds) {
    const Bytes request = must(world.north.replica->exchange(reply));
    if (request.empty()) break;
    hub.reopen();
    reply = must(hub.replica->answer_exchange(request, world.north.keystore->public_key()));
    REQUIRE(rounds < 10);
  }
  REQUIRE(state_of(hub) == state_of(world.north));
}

TEST_CASE("an answer that builds on a vector nobody named is followed by the whole vector", "[sync][vector]") {
  TwoKeepers world;
  world.facility.exchange_all();
  const Bytes request = must(world.north.replica->exchange({}));
  proto::ExchangeReply reply;
  REQUIRE(reply.ParseFromString(must(world.facility.hub().replica->answer_exchange(request, world.north.keystore->public_key()))));
  reply.mutable_vector()->set_base(Bytes(16, 'x'));
  reply.set_more(true);
  proto::ExchangeRequest next;
  REQUIRE(next.ParseFromString(must(world.north.replica->exchange(reply.SerializeAsString()))));
  REQUIRE(next.vector().base().empty());
  REQUIRE(next.vector().entries_size() > 2);
  world.facility.exchange_all();
}
