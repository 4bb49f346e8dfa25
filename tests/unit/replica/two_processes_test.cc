// Goal: a process that stays open writes into the log that is its device's now, whatever another process has done to the records
// meanwhile; and reading opens no log. Method: two replicas open on one database.
#include <algorithm>
#include <filesystem>

#include "base/wire.h"
#include "log/change.h"
#include "support/memory_fence.h"
#include "support/shift.h"

using namespace wrackline;

namespace {

struct Beside : TwoKeepers {
  std::unique_ptr<Replica> open_beside(Keystore& keystore, Fence* fence = nullptr) {
    auto clock = north.clock;
    return must(Replica::open({north.path, &keystore, [clock] { return *clock; }, fence}));
  }
  std::size_t own_logs() {
    must(north.replica->store().refresh());
    const auto& logs = north.replica->store().logs().all();
    return static_cast<std::size_t>(std::count_if(logs.begin(), logs.end(), [&](const auto& each) {
      return each.second.is_of(north.keystore->public_key());
    }));
  }
};

}  // namespace

TEST_CASE("when another process changed the log, an open one writes into the new one", "[replica]") {
  Beside world;
  auto other = world.open_beside(*world.north.keystore);
  const LogId before = world.north.replica->author().log(LogClass::kBulk);
  must(other->author().leave_logs());
  const auto [meal, portion] = world.on_north.meal(world.animal, world.food, 480, 1'000'000);
  CHECK(meal.log != before);
  must(other->store().refresh());
  CHECK(must(other->store().own_logs()).at(LogClass::kBulk) == meal.log);
  other.reset();
  world.facility.exchange_all();
  CHECK(state_of(world.facility.hub()) == state_of(world.north));
  must(world.facility.hub().replica->store().refresh());
  CHECK(must(world.facility.hub().replica->store().records().load(world.facility.hub().replica->store().logs().find_place(meal))));
}

TEST_CASE("after another process has changed the key, an open one writes nothing and says why", "[replica]") {
  Beside world;
  world.facility.exchange_all();
  auto other = world.open_beside(*world.north.keystore);
  SeededKeystore next(7401);
  must(world.facility.hub().replica->rekey_device(world.north.keystore->public_key(), next.public_key()));
  must(other->change_key(next));
  const std::string before = state_of(world.north);
  NewRecord record;
  record.kind = static_cast<std::uint32_t>(Kind::kAnimal);
  append_bytes_field(record.fields, 1, "Galatea");
  const auto logged = world.north.replica->author().log_records(world.facility.keeper(), {record});
  REQUIRE_FALSE(logged);
  CHECK(logged.error().code == ErrorCode::kKeystore);
  CHECK_THAT(logged.error().message, Catch::Contains("another key"));
  CHECK(state_of(world.north) == before);
  CHECK(other->author().log_records(world.facility.keeper(), {record}));
}

TEST_CASE("both processes write in turn, and each entry is in the one log of the device", "[replica]") {
  Beside world;
  auto other = world.open_beside(*world.north.keystore);
  NewRecord record;
  record.kind = static_cast<std::uint32_t>(Kind::kAnimal);
  append_bytes_field(record.fields, 1, "Galatea");
  for (int i = 0; i < 5; ++i) {
    CHECK(must(world.north.replica->author().log_records(world.facility.keeper(), {record})).front().log == world.north.replica->author().log(LogClass::kRoster));
    CHECK(must(other->author().log_records(world.facility.keeper(), {record})).front().log == world.north.replica->author().log(LogClass::kRoster));
  }
  CHECK(world.own_logs() == 1);
}

TEST_CASE("reading opens no log, though the fence is another's each time", "[replica]") {
  Beside world;
  const std::size_t before = world.own_logs();
  MemoryFence here, elsewhere;
  world.north.replica.reset();
  for (int i = 0; i < 5; ++i) {
    for (MemoryFence* fence : {&here, &elsewhere}) {
      auto opened = world.open_beside(*world.north.keystore, fence);
      CHECK(opened->store().records().state_digest());
    }
  }
  world.north.reopen();
  CHECK(world.own_logs() == before);
  // Whoever writes with a fence that does not know the log leaves it, once.
  world.north.replica.reset();
  here.point = FencePoint{LogId{77}, 3, 9};
  {
    auto opened = world.open_beside(*world.north.keystore, &here);
    NewRecord record;
    record.kind = static_cast<std::uint32_t>(Kind::kAnimal);
    append_bytes_field(record.fields, 1, "Galatea");
    must(opened->author().log_records(world.facility.keeper(), {record}));
    must(opened->author().log_records(world.facility.keeper(), {record}));
  }
  world.north.reopen();
  CHECK(world.own_logs() == before + 1);
}

TEST_CASE("stamps go forward when another process has written as much into other logs", "[replica]") {
  Beside world;
  world.on_north.meal(world.animal, world.food, 480, 1'000'000);
  Store& store = world.north.replica->store();
  std::size_t written = 0;
  for (const auto& [log_class, id] : must(store.own_logs())) written += store.logs().find(id)->head.seq;
  const auto stamp_of = [&](ChangeId id) {
    must(store.refresh());
    const Bytes bytes(must(store.logs().bytes_of(store.logs().find_place(id))));
    return must(read_change(bytes)).stamp;
  };
  auto other = world.open_beside(*world.north.keystore);
  must(other->author().leave_logs());
  NewRecord record;
  record.kind = static_cast<std::uint32_t>(Kind::kAnimal);
  append_bytes_field(record.fields, 1, "Galatea");
  *world.north.clock += 3'600'000;
  RecordId last;
  for (std::size_t i = 0; i < written; ++i) last = must(other->author().log_records(world.facility.keeper(), {record})).front();
  *world.north.clock -= 3'600'000;
  const RecordId next = must(world.north.replica->author().log_records(world.facility.keeper(), {record})).front();
  REQUIRE(next.log == last.log);
  CHECK(stamp_of(last) < stamp_of(next));
}
