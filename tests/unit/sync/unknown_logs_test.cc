// Goal: the hub keeps the names of few logs of which it has nothing for each device, and an honest device that has met others loses
// nothing by it. Method: requests made by hand, sealed by an enrolled device's key.
#include "sync/unknown_logs.h"

#include <exchange.pb.h>

#include "base/built_in_fields.h"
#include "support/made_log.h"
#include "support/shift.h"
#include "support/wire_field.h"
#include "sync/exchange.h"

using namespace wrackline;

namespace {

struct World : TwoKeepers {
  std::uint64_t next_log = 0x6000;

  // A log of north's with an edit of the first record of each of these logs; the hub's answer.
  proto::ExchangeReply send(const std::vector<LogId>& named) {
    std::vector<Bytes> changes;
    for (const LogId log : named) {
      Change edit;
      edit.stamp = Stamp::of(*north.clock, 0);
      edit.author = facility.keeper();
      edit.record = {log, 1};
      const Bytes fields = number_field(kStandingField, 1);
      edit.fields = fields;
      changes.push_back(write_change(edit));
    }
    return send(changes);
  }
  proto::ExchangeReply send(const std::vector<Bytes>& changes) {
    MadeLog log = made_log(north.replica->store().facility(), north.keystore->public_key(), next_log++);
    proto::ExchangeRequest request;
    request.set_protocol(kProtocol);
    request.set_facility(Bytes(view(north.replica->store().facility())));
    *request.add_segments() = made_segment(log, *north.keystore, changes);
    proto::ExchangeReply reply;
    REQUIRE(reply.ParseFromString(must(facility.hub().replica->answer_exchange(request.SerializeAsString(), north.keystore->public_key()))));
    return reply;
  }
  std::size_t named_only() {
    std::size_t out = 0;
    for (const auto& [id, log] : facility.hub().replica->store().logs().all()) out += log.opening ? 0 : 1;
    return out;
  }
};

std::vector<LogId> made_up(std::uint64_t from, std::size_t count) {
  std::vector<LogId> out;
  for (std::size_t i = 0; i < count; ++i) out.push_back(LogId{0x7700000000000000 + from + i});
  return out;
}

bool is_too_much(const proto::ExchangeReply& reply) {
  return reply.refusals_size() == 1 && reply.refusals(0).code() == static_cast<std::uint32_t>(ErrorCode::kTooLarge);
}

}  // namespace

TEST_CASE("all edits of a device together name a limited number of unknown logs at a time", "[sync]") {
  World world;
  CHECK(is_too_much(world.send(made_up(0, kUnknownLogsMost + 1))));
  CHECK(world.named_only() == 0);
  CHECK(world.send(made_up(0, kUnknownLogsMost - 1)).refusals_size() == 0);
  CHECK(world.send(made_up(0, kUnknownLogsMost - 1)).refusals_size() == 0);  // The same ones again.
  CHECK(is_too_much(world.send(made_up(50'000, 2))));
  CHECK(world.send(made_up(50'000, 1)).refusals_size() == 0);
  CHECK(is_too_much(world.send(made_up(60'000, 1))));
  CHECK(world.named_only() == kUnknownLogsMost);
}

TEST_CASE("references in new records name unknown logs as edits do, of whichever kind", "[sync]") {
  World world;
  std::vector<Bytes> changes;
  for (const LogId log : made_up(0, kUnknownLogsMost + 1)) {
    Change birth;
    birth.stamp = Stamp::of(*world.north.clock, 0);
    birth.author = world.facility.keeper();
    birth.kind = static_cast<std::uint32_t>(Kind::kObservation);
    const Bytes fields = reference_field(1, {log, 1});
    birth.fields = fields;
    changes.push_back(write_change(birth));
  }
  CHECK(is_too_much(world.send(changes)));
  CHECK(world.named_only() == 0);
}

TEST_CASE("what a device wrote about logs that have come meanwhile no longer counts against it", "[sync]") {
  World world;
  // South has logs that the hub has not seen; north has met them.
  world.on_south.meal(world.animal, world.food, 480, 1000);
  const LogId bulk = world.south.replica->author().log(LogClass::kBulk);
  REQUIRE(world.facility.hub().replica->store().logs().find(bulk) == nullptr);
  std::vector<LogId> named = made_up(0, kUnknownLogsMost - 1);
  named.push_back(bulk);
  CHECK(world.send(named).refusals_size() == 0);
  CHECK(is_too_much(world.send(made_up(60'000, 1))));
  must(world.facility.exchange(world.south));
  CHECK(world.send(made_up(60'000, 1)).refusals_size() == 0);
  CHECK(is_too_much(world.send(made_up(70'000, 1))));
}

TEST_CASE("an honest edit of a record the hub has not seen counts when that record has come", "[sync]") {
  World world;
  const auto [meal, portion] = world.on_south.meal(world.animal, world.food, 480, 1000);
  must(world.north.replica->import_bundle(must(world.south.replica->export_bundle({})).bytes, false));
  must(world.on_north.try_left(portion, 300, "weighed back"));
  must(world.facility.exchange(world.north));
  CHECK(world.north.replica->last_exchange() != nullptr);
  world.facility.exchange_all();
  proto::Portion at_hub;
  REQUIRE(at_hub.ParseFromString(must(world.facility.hub().replica->store().records().load(world.facility.hub().replica->store().logs().find_place(portion)))->fields));
  CHECK(at_hub.left_mg() == 300);
}
