// Goal: bytes from elsewhere are taken in whole or not at all, and every refusal says why. Method: real
// exchanges between a hub and tablets, with messages damaged, replayed, reordered, forged and cut.
#include "sync/exchange.h"

#include <exchange.pb.h>

#include <filesystem>

#include "base/wire.h"
#include "model/arrival.h"
#include "support/made_log.h"
#include "support/random.h"
#include "support/shift.h"
#include "sync/messages.h"

using namespace wrackline;

namespace {

struct TwoTablets : TwoKeepers {
  Shift on(Device& device) { return Shift(device, facility.keeper()); }
  // The request that the device would send: a first request with all it has to send.
  proto::ExchangeRequest request_of(Device& device) {
    proto::ExchangeRequest request;
    REQUIRE(request.ParseFromString(must(device.replica->exchange({}))));
    return request;
  }
  proto::ExchangeReply answer(const proto::ExchangeRequest& request, Device& peer) {
    proto::ExchangeReply reply;
    REQUIRE(reply.ParseFromString(must(
        facility.hub().replica->answer_exchange(request.SerializeAsString(), peer.keystore->public_key()))));
    return reply;
  }
  void log_meals(Device& device, int count) {
    for (int i = 0; i < count; ++i) on(device).meal(animal, food, static_cast<std::uint32_t>(i), 1'000'000);
  }
};

ErrorCode refusal_of(const proto::ExchangeReply& reply) {
  REQUIRE(reply.refusals_size() == 1);
  REQUIRE(reply.refusals(0).message().size() > 40);
  return static_cast<ErrorCode>(reply.refusals(0).code());
}

}  // namespace

TEST_CASE("an exchange with nothing new is one round trip under 2 kB", "[sync]") {
  TwoTablets world;
  world.log_meals(world.north, 20);
  world.facility.exchange_all();
  const Bytes request = must(world.north.replica->exchange({}));
  const Bytes reply = must(world.facility.hub().replica->answer_exchange(request, world.north.keystore->public_key()));
  REQUIRE(must(world.north.replica->exchange(reply)).empty());
  REQUIRE(request.size() + reply.size() < 2000);
}

TEST_CASE("a replayed request changes nothing and is answered alike", "[sync]") {
  TwoTablets world;
  world.log_meals(world.north, 5);
  const auto request = world.request_of(world.north);
  REQUIRE(request.segments_size() == 1);
  world.answer(request, world.north);
  const std::string before = state_of(world.facility.hub());
  for (int i = 0; i < 3; ++i) REQUIRE(world.answer(request, world.north).refusals_size() == 0);
  REQUIRE(state_of(world.facility.hub()) == before);
}

TEST_CASE("a segment with changes missing before it is refused as a gap, and comes the next time", "[sync]") {
  TwoTablets world;
  world.log_meals(world.north, 3);
  const auto first = world.request_of(world.north);
  world.log_meals(world.north, 3);
  must(world.north.replica->author().seal());
  auto second = world.request_of(world.north);
  REQUIRE(second.segments_size() == 1);
  // Only what the hub lacks behind the first: the sender believes that it holds that.
  const LogEntry& log = *world.north.replica->store().logs().find(world.north.replica->author().log(LogClass::kBulk));
  const auto runs = must(world.north.replica->store().logs().runs_after(log, first.segments(0).count(), kExchangeBytesWanted));
  second.clear_segments();
  put_runs(log, runs, nullptr, *second.mutable_segments());
  const std::string before = state_of(world.facility.hub());
  REQUIRE(refusal_of(world.answer(second, world.north)) == ErrorCode::kLogGap);
  REQUIRE(state_of(world.facility.hub()) == before);
  must(world.facility.exchange(world.north));
  REQUIRE(state_of(world.facility.hub()) == state_of(world.north));
}

TEST_CASE("runs of a log in the wrong order are refused, and nothing is lost", "[sync]") {
  TwoTablets world;
  world.log_meals(world.north, 600);
  auto request = world.request_of(world.north);
  REQUIRE(request.segments_size() == 2);
  request.mutable_segments()->SwapElements(0, 1);
  REQUIRE(refusal_of(world.answer(request, world.north)) == ErrorCode::kLogGap);
  must(world.facility.exchange(world.north));
  REQUIRE(state_of(world.facility.hub()) == state_of(world.north));
}

TEST_CASE("a segment altered in any byte is refused and the rest of the message is kept", "[sync]") {
  TwoTablets world;
  Random random = test_random("altered segment");
  world.log_meals(world.north, 4);
  const auto request = world.request_of(world.north);
  const std::string before = state_of(world.facility.hub());
  std::size_t refused = 0;
  for (int round = 0; round < 300; ++round) {
    auto altered = request;
    proto::Segment& segment = *altered.mutable_segments(0);
    std::string* const parts[] = {segment.mutable_sealing()->mutable_signature(), segment.mutable_sealing()->mutable_root(),
                                  segment.mutable_body(), segment.mutable_body(), segment.mutable_body()};
    std::string* part = parts[random.below(5)];
    (*part)[random.below(part->size())] ^= static_cast<char>(1 << random.below(8));
    const auto reply = world.answer(altered, world.north);
    // A bit of zstd's frame that means nothing may be flipped: the changes are then the same ones.
    if (reply.refusals_size() == 0) {
      REQUIRE(state_of(world.facility.hub()) == state_of(world.north));
      break;
    }
    ++refused;
    const ErrorCode code = refusal_of(reply);
    REQUIRE((code == ErrorCode::kBadSeal || code == ErrorCode::kMalformed || code == ErrorCode::kTooLarge));
    REQUIRE(state_of(world.facility.hub()) == before);
  }
  REQUIRE(refused > 0);
}

TEST_CASE("a segment sealed by a device nobody enrolled is refused by name", "[sync]") {
  TwoTablets world;
  world.log_meals(world.north, 1);
  auto request = world.request_of(world.north);
  SeededKeystore stranger(666);
  proto::Segment& segment = *request.mutable_segments(0);
  const MadeLog strange = made_log(world.facility.membership("").facility, stranger.public_key(), 1);
  segment.set_log(strange.id.value);
  segment.set_first_seq(1);
  *segment.mutable_opening() = made_opening(strange.opening);
  REQUIRE(refusal_of(world.answer(request, world.north)) == ErrorCode::kUnknownDevice);
}

TEST_CASE("a log cannot be taken over with another enrolled device's key", "[sync]") {
  TwoTablets world;
  world.log_meals(world.north, 1);
  auto request = world.request_of(world.north);
  LogOpening of_south;
  of_south.device = world.south.keystore->public_key();
  *request.mutable_segments(0)->mutable_opening() = made_opening(of_south);
  REQUIRE(refusal_of(world.answer(request, world.south)) == ErrorCode::kBadSeal);
}

TEST_CASE("a revoked or unknown device is refused at the door and keeps its records", "[sync]") {
  TwoTablets world;
  world.log_meals(world.north, 2);
  const Bytes request = must(world.north.replica->exchange({}));
  auto listed = must(world.facility.hub().replica->devices().find(world.north.keystore->public_key()));
  world.on(world.facility.hub()).strike(listed.record, "lost at the beach");
  const auto result = world.facility.hub().replica->answer_exchange(request, world.north.keystore->public_key());
  REQUIRE(code_of(result) == ErrorCode::kRevokedDevice);
  REQUIRE(result.error().message.find("stay on it") != std::string::npos);
  SeededKeystore stranger(666);
  REQUIRE(code_of(world.facility.hub().replica->answer_exchange(request, stranger.public_key())) == ErrorCode::kUnknownDevice);
  // A log that it sealed before and brings through another hand is refused too, by name; the rest of the bundle is taken.
  must(world.facility.exchange(world.south));
  const auto bundle = must(world.north.replica->export_bundle({}));
  const auto taken = must(world.south.replica->import_bundle(bundle.bytes, false));
  REQUIRE(taken.refused.size() == 1);
  REQUIRE(taken.refused.front().error.code == ErrorCode::kRevokedDevice);
}

TEST_CASE("foreign, newer, too large and broken messages are refused whole", "[sync]") {
  TwoTablets world;
  Facility other(77);
  Device& foreign = other.add_device("foreign tablet");
  const std::string before = state_of(world.facility.hub());
  Replica& hub = *world.facility.hub().replica;
  const PublicKey peer = world.north.keystore->public_key();
  REQUIRE(code_of(hub.answer_exchange(must(foreign.replica->exchange({})), peer)) == ErrorCode::kWrongFacility);
  auto request = world.request_of(world.north);
  request.set_protocol(kProtocol + 1);
  REQUIRE(code_of(hub.answer_exchange(request.SerializeAsString(), peer)) == ErrorCode::kUnsupported);
  REQUIRE(code_of(hub.answer_exchange(Bytes(kExchangeBytesMax + 1, '\n'), peer)) == ErrorCode::kTooLarge);
  REQUIRE(code_of(hub.answer_exchange("no message", peer)) == ErrorCode::kMalformed);
  const Bytes whole = must(world.north.replica->exchange({}));
  for (std::size_t size = 1; size < whole.size(); ++size) {
    (void)hub.answer_exchange(ByteView(whole).substr(0, size), peer);  // Refused or harmless; never a crash.
  }
  REQUIRE(state_of(world.facility.hub()) == before);
  REQUIRE(code_of(world.north.replica->exchange("no message")) == ErrorCode::kMalformed);
}

TEST_CASE("a hub restored from an old copy gets back from the tablets what it lost", "[sync]") {
  TwoTablets world;
  world.log_meals(world.north, 4);
  Facility& facility = world.facility;
  // The hub's answer to this request is lost with the hub's disk: another hub database stands for the backup.
  const auto before_meals = must(world.south.replica->export_bundle({}));
  must(facility.exchange(world.north));
  // The tablet now believes the hub has it. Against an older vector it sends again.
  const auto hint = world.request_of(world.north);
  REQUIRE(hint.segments_size() == 0);
  proto::ExchangeReply old;
  old.set_protocol(kProtocol);
  old.set_facility(Bytes(view(facility.membership("x").facility)));
  for (const auto& [log, point] : must(world.south.replica->import_bundle(before_meals.bytes, true)).writer) {
    auto& entry = *old.mutable_vector()->add_entries();
    entry.set_log(log.value);
    entry.set_seq(point.seq);
    entry.set_head(point.head);
  }
  proto::ExchangeRequest again;
  REQUIRE(again.ParseFromString(must(world.north.replica->exchange(old.SerializeAsString()))));
  std::uint32_t own = 0;
  for (const proto::Segment& segment : again.segments()) own += segment.log() == world.north.replica->author().log(LogClass::kBulk).value ? segment.count() : 0;
  REQUIRE(own == 8);
}

TEST_CASE("the second branch of one log stays out of account, and no other log stops", "[sync]") {
  TwoTablets world;
  world.log_meals(world.north, 1);
  // The same database carried on twice: a copy of the file, as a restored tablet would have.
  must(world.north.replica->author().seal());
  const std::string copy = world.north.path + ".copy";
  {
    world.north.replica.reset();
    REQUIRE(std::filesystem::copy_file(world.north.path, copy));
    world.north.replica = must(Replica::open({world.north.path, world.north.keystore.get(), [] { return Facility::kStartMs; }}));
  }
  Device twin{"twin", copy, std::make_unique<SeededKeystore>(1001), std::make_shared<WallMs>(Facility::kStartMs + 5), nullptr};
  REQUIRE(twin.keystore->public_key() == world.north.keystore->public_key());
  twin.reopen();
  world.log_meals(world.north, 1);
  must(world.facility.exchange(world.north));
  Shift(twin, world.facility.keeper()).meal(world.animal, world.food, 99, 5'000'000);
  must(world.facility.exchange(twin));
  REQUIRE(state_of(world.facility.hub()) == state_of(twin));
  REQUIRE(twin.replica->last_exchange()->refused().size() >= 1);
  REQUIRE(twin.replica->last_exchange()->refused().front().error.code == ErrorCode::kFork);
  world.log_meals(world.south, 1);
  must(world.facility.exchange(world.south));
  REQUIRE(state_of(world.facility.hub()) == state_of(world.south));
}

TEST_CASE("arrivals tell when the hub first held a change, and only the hub can write them", "[sync]") {
  TwoTablets world;
  world.log_meals(world.north, 1);
  *world.facility.hub().clock = Facility::kStartMs + 60'000;
  must(world.facility.exchange(world.north));
  *world.facility.hub().clock = Facility::kStartMs + 900'000;
  world.facility.exchange_all();
  Store& south = world.south.replica->store();
  const HubLineage& hub = world.south.replica->devices().hub();
  const LogEntry* log = south.logs().find(world.north.replica->author().log(LogClass::kBulk));
  REQUIRE(log != nullptr);
  REQUIRE(must(south.records().arrivals().told_of(*log, hub)) == log->head.seq);
  const auto arrival = must(south.records().arrivals().covering(place_of(log->no, log->head.seq), hub));
  REQUIRE(arrival);
  REQUIRE(arrival->held_ms == Facility::kStartMs + 60'000);

  // A tablet that writes a log of arrivals of its own is refused, whatever stands in it.
  MadeLog made = made_log(world.facility.membership("").facility, world.north.keystore->public_key(), 1, LogClass::kArrivals);
  Change change;
  change.stamp = Stamp::of(Facility::kStartMs, 0);
  change.kind = kArrivalKind;
  const Bytes fields = arrival_fields({{log->id, 1, log->head.seq, log->head.root}});
  change.fields = fields;
  proto::ExchangeRequest request = world.request_of(world.north);
  request.clear_segments();
  *request.add_segments() = made_segment(made, *world.north.keystore, std::vector<Bytes>{write_change(change)});
  const proto::ExchangeReply reply = world.answer(request, world.north);
  REQUIRE(reply.refusals_size() == 1);
  CHECK(reply.refusals(0).code() == static_cast<std::uint32_t>(ErrorCode::kUnauthorized));
}

TEST_CASE("what an exchange brings is kept with the clock in one write", "[sync]") {
  TwoKeepers keepers;
  auto& [facility, north, south, on_north, on_south, animal, food] = keepers;
  *north.clock += 60'000;  // South has to follow.
  on_north.meal(animal, food, 480, 1'000'000);
  must(facility.exchange(north));
  Replica& replica = *south.replica;
  Bytes request = must(replica.exchange({}));
  int replies = 0;
  while (!request.empty()) {
    const Bytes reply = must(facility.hub().replica->answer_exchange(request, south.keystore->public_key()));
    const std::uint64_t before = replica.store().last_write();
    request = must(replica.exchange(reply));
    CHECK(replica.store().last_write() == before + 1);
    ++replies;
  }
  CHECK(replies >= 1);
  // It did follow: what south writes now comes after what it has read.
  const RecordId later = on_south.meal(animal, food, 540, 1'000'000).first;
  Store& store = replica.store();
  const auto change = must(read_change(must(store.logs().bytes_of(store.logs().find_place(later)))));
  CHECK(change.stamp.ms() >= *north.clock);
}

TEST_CASE("a request that has taken its time is left off between two logs, and the next goes on", "[sync]") {
  TwoTablets world;
  world.log_meals(world.north, 3);
  world.log_meals(world.south, 2);
  REQUIRE(must(world.north.replica->import_bundle(must(world.south.replica->export_bundle({})).bytes, false)).new_here > 0);
  Replica& hub = *world.facility.hub().replica;
  Bytes reply;
  int rounds = 0, asked = 0;
  for (;; ++rounds) {
    const Bytes request = must(world.north.replica->exchange(reply));
    if (request.empty()) break;
    reply = must(hub.answer_exchange(request, world.north.keystore->public_key(), [&] { return ++asked > 0; }));
    REQUIRE(rounds < 20);
  }
  REQUIRE(asked > 0);
  REQUIRE(rounds == 2);  // One log each; all at once otherwise.
  REQUIRE(state_of(world.facility.hub()) == state_of(world.north));
}
