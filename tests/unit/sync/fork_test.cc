// Goal: a tablet that was cloned or put back from an old backup loses nothing, mixes nothing and stops nobody; what
// it wrote besides is kept apart for an officer. Method: databases copied on the disk, opened twice, both written.
#include <filesystem>

#include "base/wire.h"
#include "log/branch.h"
#include "model/hold.h"
#include "support/memory_fence.h"
#include "support/random.h"
#include "support/shift.h"
#include "sync/exchange.h"

using namespace wrackline;

namespace {

struct Twins {
  Facility facility;
  Device& desk = facility.add_device("desk");
  Device& tablet = facility.add_device("north tablet");
  Device clone;
  RecordId animal, food;

  Twins() {
    facility.exchange_all();
    Shift shift(tablet, facility.keeper());
    animal = shift.animal("Nereid");
    food = shift.food("herring");
    for (std::uint32_t slot : {480u, 720u}) shift.meal(animal, food, slot, 1'000'000);
    facility.exchange_all();
  }

  // Copies the tablet's database and key (the second device's, see Facility), as a backup or a cloned disk does.
  void copy() {
    tablet.replica.reset();
    clone.name = "clone";
    clone.path = tablet.path + "-clone";
    std::filesystem::copy_file(tablet.path, clone.path);
    clone.keystore = std::make_unique<SeededKeystore>(1002);
    clone.clock = std::make_shared<WallMs>(*tablet.clock + 5'000);
    clone.reopen();
    tablet.reopen();
  }
  void exchange_everybody() {
    for (int round = 0; round < 2; ++round) {
      facility.exchange_all();
      must(facility.exchange(clone));
    }
    facility.exchange_all();
  }
  std::vector<Device*> all() { return {&facility.hub(), &desk, &tablet, &clone}; }
  std::vector<RecordId> holds(Device& device) {
    std::vector<RecordId> out;
    for (Place place : must(device.replica->store().records().find(0, Kind::kHold, 0, 0))) {
      if (device.replica->store().records().holds().find(place) != nullptr) {
        out.push_back(device.replica->store().logs().id_of(place));
      }
    }
    return out;
  }
  std::size_t meals(Device& device) {
    must(device.replica->store().refresh());
    Store& store = device.replica->store();
    return must(store.records().find(store.logs().find_place(animal), Kind::kMeal, 0, kDayEver)).size();
  }
  static constexpr Day kDayEver = 1'000'000;
};

}  // namespace

TEST_CASE("two copies of one tablet end in one state everywhere, with the second branch kept apart", "[fork]") {
  Twins twins;
  twins.copy();
  const LogId root = twins.tablet.replica->author().log(LogClass::kBulk);
  Shift(twins.tablet, twins.facility.keeper()).meal(twins.animal, twins.food, 900, 1'000'000);
  Shift second(twins.clone, twins.facility.keeper());
  const auto [meal, portion] = second.meal(twins.animal, twins.food, 1'000, 2'000'000);
  REQUIRE(second.try_left(portion, 50'000, "weighed"));
  second.meal(twins.animal, twins.food, 1'100, 3'000'000);
  twins.exchange_everybody();
  for (Device* device : twins.all()) {
    CAPTURE(device->name);
    CHECK(state_of(*device) == state_of(twins.desk));
    CHECK(twins.meals(*device) == 3);
    REQUIRE(twins.holds(*device).size() == 1);
    CHECK(Shift(*device, twins.facility.keeper()).rebuild().same());
  }
  // The clone goes on under a log of its own, and what it writes then counts at once.
  CHECK(twins.clone.replica->author().log(LogClass::kBulk) != root);
  second.meal(twins.animal, twins.food, 1'200, 1'000'000);
  twins.exchange_everybody();
  for (Device* device : twins.all()) CHECK(twins.meals(*device) == 4);

  // The officer takes the branch in: its meals, the portion's edit and their references to each other are whole.
  Shift officer(twins.desk, twins.facility.keeper());
  officer.strike(twins.holds(twins.desk).front(), "the same keeper, two tablets");
  twins.exchange_everybody();
  for (Device* device : twins.all()) {
    CAPTURE(device->name);
    CHECK(state_of(*device) == state_of(twins.desk));
    CHECK(twins.meals(*device) == 6);
    CHECK(Shift(*device, twins.facility.keeper()).rebuild().same());
    Store& store = device->replica->store();
    const auto all_holds = must(store.records().find(0, Kind::kHold, 0, 0));
    REQUIRE(all_holds.size() == 1);
    const HeldChanges held = held_changes(must(store.records().load(all_holds.front()))->fields);
    const RecordId in_branch{held.log, portion.seq};
    const proto::Portion read = Shift(*device, twins.facility.keeper()).portion(in_branch);
    CHECK(read.left_mg() == 50'000);
    CHECK(read.meal().log() == held.log.value);
    CHECK(read.meal().seq() == meal.seq);
  }
}

TEST_CASE("the proof of a branch holds: its seals verify on every replica", "[fork]") {
  Twins twins;
  twins.copy();
  for (Device* device : {&twins.tablet, &twins.clone}) {
    Shift(*device, twins.facility.keeper()).meal(twins.animal, twins.food, 900, 1'000'000);
  }
  twins.exchange_everybody();
  for (Device* device : twins.all()) {
    proto::Call call;
    call.mutable_verify();
    const auto reply = Shift(*device, twins.facility.keeper()).must_call(call);
    CAPTURE(device->name);
    CHECK(reply.verify().problems_size() == 0);
    CHECK(reply.verify().changes() > 0);
  }
}

TEST_CASE("a tablet behind its fence opens another log, and gets back what the backup lacks", "[fork]") {
  Twins twins;
  MemoryFence fence;
  const auto open = [&](Device& device) {
    device.replica.reset();
    auto clock = device.clock;
    device.replica = must(Replica::open({device.path, device.keystore.get(), [clock] { return *clock; }, &fence}));
  };
  open(twins.tablet);
  Shift(twins.tablet, twins.facility.keeper()).animal("Galatea");
  const LogId first = twins.tablet.replica->author().log(LogClass::kRoster);
  REQUIRE(fence.point);
  twins.tablet.replica.reset();
  std::filesystem::copy_file(twins.tablet.path, twins.tablet.path + ".backup");
  open(twins.tablet);
  CHECK(twins.tablet.replica->author().log(LogClass::kRoster) == first);
  Shift(twins.tablet, twins.facility.keeper()).meal(twins.animal, twins.food, 900, 1'000'000);
  twins.facility.exchange_all();

  twins.tablet.replica.reset();
  for (const char* end : {"-wal", "-shm"}) std::filesystem::remove(twins.tablet.path + end);
  std::filesystem::copy_file(twins.tablet.path + ".backup", twins.tablet.path, std::filesystem::copy_options::overwrite_existing);
  open(twins.tablet);
  CHECK(twins.tablet.replica->author().log(LogClass::kRoster) != first);
  CHECK(twins.meals(twins.tablet) == 2);
  Shift(twins.tablet, twins.facility.keeper()).meal(twins.animal, twins.food, 1'000, 1'000'000);
  twins.facility.exchange_all();
  CHECK(twins.meals(twins.tablet) == 4);
  CHECK(twins.holds(twins.desk).empty());
  CHECK(state_of(twins.tablet) == state_of(twins.desk));
}

TEST_CASE("a tablet put back from a backup without a fence is told by the hub, and loses nothing", "[fork]") {
  Twins twins;
  twins.copy();  // The clone stands for the backup.
  Shift(twins.tablet, twins.facility.keeper()).meal(twins.animal, twins.food, 900, 1'000'000);
  must(twins.facility.exchange(twins.tablet));
  twins.tablet.replica.reset();  // Lost; the backup takes its place.
  Shift(twins.clone, twins.facility.keeper()).meal(twins.animal, twins.food, 1'000, 1'000'000);
  must(twins.facility.exchange(twins.clone));
  must(twins.facility.exchange(twins.clone));
  CHECK(twins.meals(twins.clone) == 3);
  CHECK(twins.holds(twins.clone).size() == 1);
  Shift(twins.clone, twins.facility.keeper()).strike(twins.holds(twins.clone).front(), "from the backup");
  CHECK(twins.meals(twins.clone) == 4);
  must(twins.facility.exchange(twins.clone));
  must(twins.facility.exchange(twins.desk));
  CHECK(twins.meals(twins.desk) == 4);
  CHECK(state_of(twins.clone) == state_of(twins.desk));
  CHECK(state_of(twins.facility.hub()) == state_of(twins.desk));
}

TEST_CASE("a run sealed across the place where a log parts goes to its branch from there on", "[fork]") {
  Twins twins;
  Shift(twins.tablet, twins.facility.keeper()).meal(twins.animal, twins.food, 800, 1'000'000);  // Not sealed yet.
  twins.copy();
  Shift(twins.tablet, twins.facility.keeper()).meal(twins.animal, twins.food, 900, 1'000'000);
  Shift(twins.clone, twins.facility.keeper()).meal(twins.animal, twins.food, 1'000, 1'000'000);
  twins.exchange_everybody();
  for (Device* device : twins.all()) {
    CAPTURE(device->name);
    CHECK(twins.meals(*device) == 4);
    CHECK(twins.holds(*device).size() == 1);
    CHECK(state_of(*device) == state_of(twins.desk));
    CHECK(Shift(*device, twins.facility.keeper()).rebuild().same());
  }
}

TEST_CASE("a restored tablet that gets its own entries back by a bundle can hand all of them on", "[fork]") {
  Twins twins;
  Shift(twins.tablet, twins.facility.keeper()).meal(twins.animal, twins.food, 800, 1'000'000);  // Not sealed yet.
  twins.copy();  // The clone stands for the backup.
  Shift(twins.tablet, twins.facility.keeper()).meal(twins.animal, twins.food, 900, 1'000'000);
  const auto lost = must(twins.tablet.replica->export_bundle({}));
  CHECK(must(twins.clone.replica->import_bundle(lost.bytes, false)).new_here == 2);
  const auto all = must(twins.clone.replica->export_bundle({}));
  CHECK(must(twins.desk.replica->import_bundle(all.bytes, false)).new_here == 4);
  CHECK(twins.meals(twins.desk) == 4);
  CHECK(state_of(twins.desk) == state_of(twins.clone));
}

TEST_CASE("what both branches share never leaves the device whose branch is moved", "[fork]") {
  Twins twins;
  twins.copy();
  // Written by both in the run that is sealed next, so that one stored run reaches over the place where they part.
  const LogId root = twins.tablet.replica->author().log(LogClass::kBulk);
  const std::size_t before = twins.meals(twins.clone);
  Shift second(twins.clone, twins.facility.keeper());
  Shift(twins.tablet, twins.facility.keeper()).meal(twins.animal, twins.food, 900, 1'000'000);
  second.meal(twins.animal, twins.food, 1'000, 2'000'000);
  must(twins.facility.exchange(twins.tablet));
  must(twins.facility.exchange(twins.clone));
  // The clone's part is moved when it hears of the hold, whether or not the other copy has come with it.
  const LogEntry* log = twins.clone.replica->store().logs().find(root);
  REQUIRE(log != nullptr);
  Seq shared = 0;
  for (const auto& [id, branch] : twins.clone.replica->store().logs().all()) {
    if (branch.branch) shared = branch.branch->after;
  }
  REQUIRE(shared > 0);
  CHECK(log->head.seq >= shared);
  for (Seq seq = 1; seq <= shared; ++seq) {
    CHECK_FALSE(must(twins.clone.replica->store().logs().bytes_of(place_of(log->no, seq))).empty());
  }
  CHECK(twins.meals(twins.clone) >= before);
  // It can go on to somebody else from there: a file is enough.
  Device& fresh = twins.facility.add_device("fresh");
  const auto bundle = must(twins.clone.replica->export_bundle({}));
  const auto taken = must(fresh.replica->import_bundle(bundle.bytes, false));
  CHECK(taken.refused.empty());
  CHECK(twins.meals(fresh) >= before);
}

TEST_CASE("a strike meant for a clone's record never hits the record in its place in the other branch", "[fork]") {
  Twins twins;
  twins.copy();
  const RecordId real = Shift(twins.tablet, twins.facility.keeper()).meal(twins.animal, twins.food, 900, 1'000'000).first;
  const RecordId of_clone = Shift(twins.clone, twins.facility.keeper()).meal(twins.animal, twins.food, 1'000, 2'000'000).first;
  REQUIRE(real == of_clone);  // The same place in what both take for one log.
  // The desk hears of the clone's alone, by a file, and strikes it before the fork is found.
  must(twins.desk.replica->import_bundle(must(twins.clone.replica->export_bundle({})).bytes, false));
  Shift officer(twins.desk, twins.facility.keeper());
  officer.strike(of_clone, "written twice");
  must(twins.facility.exchange(twins.tablet));
  must(twins.facility.exchange(twins.desk));
  twins.exchange_everybody();
  twins.exchange_everybody();
  for (Device* device : twins.all()) {
    CAPTURE(device->name);
    CHECK(state_of(*device) == state_of(twins.desk));
    Store& store = device->replica->store();
    must(store.refresh());
    const auto kept = must(store.records().load(store.logs().find_place(real)));
    REQUIRE(kept);
    CHECK_FALSE(built_in_of(kept->fields).struck);
    CHECK(Shift(*device, twins.facility.keeper()).rebuild().same());
  }
  // Taken in, the clone's record is struck as it was meant to be.
  for (const RecordId hold : twins.holds(twins.desk)) officer.strike(hold, "taken in");
  twins.exchange_everybody();
  for (Device* device : twins.all()) {
    CAPTURE(device->name);
    Store& store = device->replica->store();
    std::size_t struck = 0;
    for (const auto& [id, log] : store.logs().all()) {
      if (!log.branch || real.seq > log.head.seq || real.seq <= log.base()) continue;
      const auto branch = must(store.records().load(place_of(log.no, real.seq)));
      REQUIRE(branch);
      struck += built_in_of(branch->fields).struck ? 1 : 0;
    }
    CHECK(struck == 1);
    CHECK(state_of(*device) == state_of(twins.desk));
  }
}

TEST_CASE("a log that parts at its very first change has two branches like any other", "[fork]") {
  Facility facility;
  Device& desk = facility.add_device("desk");
  Device& tablet = facility.add_device("north tablet");
  facility.exchange_all();
  tablet.replica.reset();
  Device clone{"clone", tablet.path + "-clone", std::make_unique<SeededKeystore>(1002), std::make_shared<WallMs>(*tablet.clock + 5'000), nullptr};
  std::filesystem::copy_file(tablet.path, clone.path);
  clone.reopen();
  tablet.reopen();
  Shift(tablet, facility.keeper()).animal("Nereid");
  for (const char* name : {"Thetis", "Galatea", "Doto"}) Shift(clone, facility.keeper()).animal(name);
  // The desk hears of both at once, and of the hold before it has either.
  for (int round = 0; round < 3; ++round) {
    for (Device* device : {&tablet, &clone}) must(facility.exchange(*device));
  }
  for (int round = 0; round < 2; ++round) {
    must(facility.exchange(desk));
    CHECK(desk.replica->last_exchange()->refused().empty());
  }
  for (Device* device : {&facility.hub(), &desk, &tablet, &clone}) {
    CAPTURE(device->name);
    CHECK(state_of(*device) == state_of(facility.hub()));
    CHECK(vector_of(device->replica->store()).size() == vector_of(facility.hub().replica->store()).size());
    CHECK(Shift(*device, facility.keeper()).rebuild().same());
  }
}

TEST_CASE("many copies of one log, exchanged in any order, end in one state and drop nothing", "[fork]") {
  Random random = test_random("forks");
  for (int round = 0; round < 6; ++round) {
    Twins twins;
    std::vector<std::unique_ptr<Device>> copies;
    std::size_t written = 2;
    const auto write = [&](Device& device) {
      Shift(device, twins.facility.keeper()).meal(twins.animal, twins.food, static_cast<std::uint32_t>(written), 1'000'000);
      ++written;
    };
    for (int i = 0; i < 3; ++i) {
      // Copies of the tablet, or of a copy that has written something already.
      Device& from = copies.empty() || random.below(2) == 0 ? twins.tablet : *copies[random.below(copies.size())];
      must(from.replica->author().seal());
      from.replica.reset();
      auto device = std::make_unique<Device>();
      device->name = "copy " + std::to_string(i);
      device->path = twins.tablet.path + "-copy" + std::to_string(i);
      std::filesystem::copy_file(from.path, device->path);
      device->keystore = std::make_unique<SeededKeystore>(1002);
      device->clock = std::make_shared<WallMs>(*from.clock + 1'000);
      device->reopen();
      from.reopen();
      copies.push_back(std::move(device));
      for (auto& copy : copies) {
        if (random.below(3) != 0) write(*copy);
      }
      if (random.below(2) == 0) write(twins.tablet);
      for (auto& copy : copies) {
        if (random.below(2) == 0) must(twins.facility.exchange(*copy));
      }
    }
    for (int again = 0; again < 4; ++again) {
      twins.facility.exchange_all();
      for (auto& copy : copies) must(twins.facility.exchange(*copy));
    }
    Shift officer(twins.desk, twins.facility.keeper());
    for (const RecordId hold : twins.holds(twins.desk)) officer.strike(hold, "all of it");
    for (int again = 0; again < 2; ++again) {
      twins.facility.exchange_all();
      for (auto& copy : copies) must(twins.facility.exchange(*copy));
    }
    twins.facility.exchange_all();  // Spreads what the last copy brought.
    CAPTURE(round);
    CHECK(twins.meals(twins.desk) == written);
    for (auto& copy : copies) {
      CHECK(state_of(*copy) == state_of(twins.desk));
      CHECK(Shift(*copy, twins.facility.keeper()).rebuild().same());
    }
    CHECK(state_of(twins.facility.hub()) == state_of(twins.desk));
  }
}

TEST_CASE("references to a branch's own changes are read as its own, and no others", "[fork]") {
  const LogId root{0x1122334455667788}, branch{0x0102030405060708};
  Bytes change;
  append_bytes_field(change, 6, encode_record_ref({root, 9}) + encode_record_ref({root, 300}) + encode_record_ref({LogId{5}, 300}));
  Bytes expected;
  append_bytes_field(expected, 6, encode_record_ref({root, 9}) + encode_record_ref({branch, 300}) + encode_record_ref({LogId{5}, 300}));
  rebind(change, root, {{9, branch}});
  CHECK(change == expected);
}
