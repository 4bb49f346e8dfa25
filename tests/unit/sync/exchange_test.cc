// Goal: bytes from elsewhere are taken in whole or not at all, and every refusal says why. Method: real
// exchanges between a hub and tablets, with messages damaged, replayed, reordered, forged and cut.
#include "sync/exchange.h"

#include <exchange.pb.h>

#include <filesystem>

#include "base/wire.h"
#include "crypto/texts.h"
#include "log/chain.h"
#include "support/random.h"
#include "support/shift.h"

using namespace wrackline;

namespace {

struct TwoTablets : TwoKeepers {
  Shift on(Device& device) { return Shift(device, facility.keeper()); }
  // What the device would send: a first request with all it has to send.
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

TEST_CASE("a segment before which changes are missing is refused as a gap, and the next exchange heals it", "[sync]") {
  TwoTablets world;
  world.log_meals(world.north, 3);
  const auto first = world.request_of(world.north);
  world.log_meals(world.north, 3);
  must(world.north.replica->author().seal());
  auto second = world.request_of(world.north);
  REQUIRE(second.segments_size() == 2);
  second.mutable_segments()->DeleteSubrange(0, 1);
  const std::string before = state_of(world.facility.hub());
  REQUIRE(refusal_of(world.answer(second, world.north)) == ErrorCode::kLogGap);
  REQUIRE(state_of(world.facility.hub()) == before);
  must(world.facility.exchange(world.north));
  REQUIRE(state_of(world.facility.hub()) == state_of(world.north));
}

TEST_CASE("segments in the wrong order are refused where they do not fit, and nothing is lost", "[sync]") {
  TwoTablets world;
  world.log_meals(world.north, 3);
  must(world.north.replica->author().seal());
  world.log_meals(world.north, 3);
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
    std::string* part = random.once_in(3) ? segment.mutable_seal() : segment.mutable_body();
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
  segment.set_log(0xbadbadbad);
  segment.set_first_seq(1);
  segment.set_device_key(Bytes(view(stranger.public_key())));
  REQUIRE(refusal_of(world.answer(request, world.north)) == ErrorCode::kUnknownDevice);
}

TEST_CASE("a log cannot be taken over with another enrolled device's key", "[sync]") {
  TwoTablets world;
  world.log_meals(world.north, 1);
  auto request = world.request_of(world.north);
  request.mutable_segments(0)->set_device_key(Bytes(view(world.south.keystore->public_key())));
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
  // What it sealed before and brings through another hand is refused too, by name.
  must(world.facility.exchange(world.south));
  const auto bundle = must(world.north.replica->export_bundle({}));
  REQUIRE(code_of(world.south.replica->import_bundle(bundle.bytes, false)) == ErrorCode::kRevokedDevice);
}

TEST_CASE("messages of another facility, of a newer release, too large or no message at all are refused whole", "[sync]") {
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
  REQUIRE(again.segments_size() == 1);
  REQUIRE(again.segments(0).count() == 8);
}

TEST_CASE("two branches of one log are told apart, the second kept out of account, and no other log stops", "[sync]") {
  TwoTablets world;
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

TEST_CASE("receipts tell when the hub first held a change, and only the hub can write them", "[sync]") {
  TwoTablets world;
  world.log_meals(world.north, 1);
  *world.facility.hub().clock = Facility::kStartMs + 60'000;
  must(world.facility.exchange(world.north));
  *world.facility.hub().clock = Facility::kStartMs + 900'000;
  world.facility.exchange_all();
  LogTable& logs = world.south.replica->store().logs();
  const LogEntry* log = logs.find(world.north.replica->author().log());
  REQUIRE(log != nullptr);
  REQUIRE(log->receipted == log->head.seq);
  REQUIRE(must(world.south.replica->store().receipts().held_ms(place_of(log->no, log->head.seq))) == Facility::kStartMs + 60'000);

  world.log_meals(world.north, 1);
  proto::ExchangeReply reply = world.answer(world.request_of(world.north), world.north);
  REQUIRE(reply.receipts_size() == 1);
  reply.mutable_receipts(0)->set_held_ms(1);
  (void)must(world.north.replica->exchange(reply.SerializeAsString()));
  const LogEntry* own = world.north.replica->store().logs().find(world.north.replica->author().log());
  REQUIRE(own->receipted < own->head.seq);
}
