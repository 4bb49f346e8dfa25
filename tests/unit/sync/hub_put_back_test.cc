// Goal: a hub whose database is put back to an earlier state, by a snapshot of its machine, goes on safely by itself, and devices
// are told. Method: the hub's file is copied and put back, with and without writing before it hears from anybody.
#include <exchange.pb.h>

#include <filesystem>

#include "model/hold.h"
#include "support/memory_fence.h"
#include "support/shift.h"
#include "sync/exchange.h"

using namespace wrackline;

namespace {

struct PutBack : TwoKeepers {
  std::string snapshot;

  void take_snapshot() {
    facility.exchange_all();
    Device& hub = facility.hub();
    snapshot = hub.path + "-snapshot";
    hub.replica.reset();
    std::filesystem::copy_file(hub.path, snapshot, std::filesystem::copy_options::overwrite_existing);
    hub.reopen();
  }
  void put_back() {
    Device& hub = facility.hub();
    hub.replica.reset();
    for (const char* end : {"", "-wal", "-shm"}) std::filesystem::remove(hub.path + end);
    std::filesystem::copy_file(snapshot, hub.path);
    hub.reopen();
  }
  // Whether the last exchange of a device told it of this.
  static bool is_told(Device& device) {
    const auto& refused = device.replica->last_exchange()->refused();
    return std::any_of(refused.begin(), refused.end(), [](const RefusedLog& r) { return r.error.message.find("put back") != std::string::npos; });
  }
  void check_all_equal() {
    for (int round = 0; round < 3; ++round) facility.exchange_all();
    for (Device* device : {&north, &south}) {
      CAPTURE(device->name);
      CHECK(state_of(*device) == state_of(facility.hub()));
      CHECK(device->replica->last_exchange()->refused().empty());
      CHECK(Shift(*device, facility.keeper()).rebuild().same());
    }
    CHECK(Shift(facility.hub(), facility.keeper()).rebuild().same());
  }
  std::size_t meals(Device& device) {
    must(device.replica->store().refresh());
    return must(device.replica->store().records().find_all_subjects(Kind::kMeal, -1'000'000, 1'000'000)).size();
  }
};

}  // namespace

TEST_CASE("a hub that was put back goes on in a new log and gets back what it lacks", "[hub]") {
  PutBack world;
  world.take_snapshot();
  world.on_north.meal(world.animal, world.food, 480, 1'000'000);
  SeededKeystore east(7301);
  must(world.facility.hub().replica->admit_device("east tablet", east.public_key()));
  world.facility.exchange_all();
  const LogId before = world.facility.hub().replica->author().log(LogClass::kRoster);
  const std::size_t meals = world.meals(world.facility.hub());
  world.put_back();
  REQUIRE(world.meals(world.facility.hub()) == meals - 1);
  must(world.facility.exchange(world.north));
  CHECK(PutBack::is_told(world.north));
  world.on_south.meal(world.animal, world.food, 500, 1'000'000);
  must(world.facility.exchange(world.south));
  CHECK_FALSE(PutBack::is_told(world.south));  // The hub has it all again.
  SeededKeystore west(7302);
  must(world.facility.hub().replica->admit_device("west tablet", west.public_key()));
  CHECK(world.facility.hub().replica->author().log(LogClass::kRoster) != before);
  world.check_all_equal();
  CHECK(world.meals(world.facility.hub()) == meals + 1);
  for (Device* device : {&world.facility.hub(), &world.north, &world.south}) {
    CHECK(must(device->replica->device_standing(east.public_key())) == DeviceStanding::kEnrolled);
    CHECK(must(device->replica->device_standing(west.public_key())) == DeviceStanding::kEnrolled);
  }
}

TEST_CASE("a hub behind its fence begins new logs before anybody tells it, the log of arrivals too", "[hub]") {
  const bool also_a_record = GENERATE(false, true);
  PutBack world;
  MemoryFence fence;
  world.facility.hub().fence = &fence;
  world.facility.hub().reopen();
  SeededKeystore east(7301), west(7302);
  must(world.facility.hub().replica->admit_device("east tablet", east.public_key()));
  world.take_snapshot();
  const auto arrivals_logs = [&] {
    std::size_t count = 0;
    for (const auto& [id, log] : world.facility.hub().replica->store().logs().all()) count += log.is_arrivals() ? 1 : 0;
    return count;
  };
  // After the copy the hub tells of an arrival, and at times writes a record.
  world.on_north.meal(world.animal, world.food, 480, 1'000'000);
  must(world.facility.exchange(world.north));
  if (also_a_record) must(world.facility.hub().replica->admit_device("west tablet", west.public_key()));
  const std::size_t before = arrivals_logs();
  world.put_back();
  CHECK(world.facility.hub().replica->author().was_put_back());
  // The south tablet does not know the arrival that the hub lost.
  world.on_south.meal(world.animal, world.food, 500, 1'000'000);
  must(world.facility.exchange(world.south));
  CHECK(arrivals_logs() == before + 1);
  world.check_all_equal();
}

TEST_CASE("a hub that wrote before it heard that it was put back keeps both branches, and all agree", "[hub]") {
  PutBack world;
  world.take_snapshot();
  world.on_north.meal(world.animal, world.food, 480, 1'000'000);
  SeededKeystore east(7301), west(7302);
  must(world.facility.hub().replica->admit_device("east tablet", east.public_key()));
  world.facility.exchange_all();
  const std::size_t meals = world.meals(world.facility.hub());
  world.put_back();
  must(world.facility.hub().replica->admit_device("west tablet", west.public_key()));
  for (int round = 0; round < 3; ++round) {
    for (Device* device : {&world.north, &world.south}) must(world.facility.exchange(*device));
  }
  world.on_south.meal(world.animal, world.food, 500, 1'000'000);
  world.check_all_equal();
  CHECK(world.meals(world.facility.hub()) == meals + 1);
  // The part of the hub's log that was lost is laid before an officer, and counts nowhere meanwhile.
  for (Device* device : {&world.facility.hub(), &world.north, &world.south}) {
    CAPTURE(device->name);
    CHECK(must(device->replica->device_standing(west.public_key())) == DeviceStanding::kEnrolled);
    CHECK(must(device->replica->device_standing(east.public_key())) == DeviceStanding::kUnknown);
  }
  std::size_t branches = 0;
  for (const auto& [id, log] : world.facility.hub().replica->store().logs().all()) branches += log.branch ? 1 : 0;
  CHECK(branches >= 1);
}

TEST_CASE("a device that claims to know the hub's logs further, again and again, makes it open few", "[hub]") {
  PutBack world;
  world.facility.exchange_all();
  Replica& hub = *world.facility.hub().replica;
  const std::size_t before = hub.store().logs().all().size();
  for (int i = 0; i < 40; ++i) {
    proto::ExchangeRequest request;
    REQUIRE(request.ParseFromString(must(world.north.replica->exchange({}))));
    for (const auto& [id, log] : hub.store().logs().all()) {
      if (!log.is_of(hub.author().key())) continue;
      proto::VectorEntry& entry = *request.mutable_vector()->add_entries();
      entry.set_log(id.value);
      entry.set_seq(log.head.seq + 7);
      entry.set_head(1);
    }
    must(hub.answer_exchange(request.SerializeAsString(), world.north.keystore->public_key()));
    must(hub.admit_device("tablet " + std::to_string(i), SeededKeystore(7400 + static_cast<std::uint64_t>(i)).public_key()));
  }
  CHECK(hub.store().logs().all().size() <= before + 8);
  world.check_all_equal();
}

TEST_CASE("a hub put back twice, to the same state, still loses nothing", "[hub]") {
  PutBack world;
  world.take_snapshot();
  for (std::uint32_t time = 0; time < 2; ++time) {
    world.on_north.meal(world.animal, world.food, 480 + time, 1'000'000);
    world.on_south.meal(world.animal, world.food, 600 + time, 1'000'000);
    world.facility.exchange_all();
    world.put_back();
  }
  const std::size_t meals = world.meals(world.north);
  world.check_all_equal();
  CHECK(world.meals(world.facility.hub()) == meals);
}

TEST_CASE("what comes back to a hub that lost its key reaches who lives on bundles", "[hub][keys]") {
  PutBack world;
  Device& hub = world.facility.hub();
  world.take_snapshot();
  must(hub.replica->admit_device("let in after the snapshot", SeededKeystore(7401).public_key()));
  world.on_south.meal(world.animal, world.food, 480, 1'000'000);
  must(world.facility.exchange(world.south));
  world.put_back();
  auto next = std::make_unique<SeededKeystore>(7402);
  must(hub.replica->change_hub_key(*next, Replica::OldKey::kLost, world.facility.keeper(), "its machine was put back"));
  hub.keystore = std::move(next);
  for (Device* device : {&world.north, &world.south}) must(device->replica->repin(hub.keystore->public_key()));
  must(world.facility.exchange(world.south));
  must(world.facility.exchange(world.south));
  const auto taken = must(world.north.replica->import_bundle(must(hub.replica->export_bundle({})).bytes, false));
  for (const RefusedLog& refused : taken.refused) {
    CAPTURE(refused.error.message);
    CHECK(refused.log == LogId());
  }
  CHECK(state_of(world.north) == state_of(hub));
  const auto known_here = vector_of(world.north.replica->store());
  for (const auto& [log, point] : vector_of(hub.replica->store())) {
    CAPTURE(to_text(log));
    CHECK(known_here.count(log) == 1);
    if (known_here.count(log) == 1) CHECK(known_here.at(log).seq == point.seq);
  }
}
