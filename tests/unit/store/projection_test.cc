// Goal: what the tables show depends on which changes there are, never on the order, batches or log ids they came with; and
// making them anew changes nothing. Method: random facilities whose hub holds changes, decisions on holds, and decisions on
// those, handed to bare databases in random orders; and counts of how often a record is folded.
#include "store/projection.h"

#include <catch2/catch.hpp>

#include "base/wire.h"
#include "model/device.h"
#include "model/hold.h"
#include "support/bare_replica.h"
#include "support/facility.h"
#include "support/random.h"

using namespace wrackline;

namespace {

using World = std::map<LogId, std::vector<BareChange>>;

constexpr PublicKey key_number(unsigned char n) {
  PublicKey key{};
  key[0] = n;
  return key;
}

const PublicKey kHub = key_number(1), kNextHub = key_number(2);

// Writes logs of made-up devices. Clocks agree with nothing, and authors have seen what chance says.
class Scribe {
 public:
  explicit Scribe(Random& random) : random_(random) {
    const auto open = [this](const PublicKey& key) {
      const LogId id{random_.next() | 1};
      logs_.push_back(id);
      devices_[id] = key;
      world_[id];
    };
    open(kHub);
    open(kHub);
    open(kNextHub);
    for (unsigned char n = 10; n < 13; ++n) open(key_number(n));
  }

  World write(std::size_t changes) {
    birth(tablet(), Kind::kAnimal, {});
    birth(tablet(), Kind::kFood, {});
    while (ids_.size() < changes) step();
    return std::move(world_);
  }

 private:
  LogId hub() { return logs_[random_.below(3)]; }
  LogId tablet() { return logs_[3 + random_.below(logs_.size() - 3)]; }

  void put(LogId log, Change change) {
    change.stamp = Stamp::of(1'700'000'000'000 + (random_.once_in(4) ? random_.below(50) : 100 + ids_.size()), 0);
    std::vector<BareChange>& changes = world_[log];
    const ChangeId id{log, static_cast<Seq>(changes.size() + 1)};
    changes.push_back({id, devices_[log], write_change(change)});
    ids_.push_back(id);
    touching_[change.is_birth() ? id : change.record].push_back(changes.back());
  }

  RecordId birth(LogId log, Kind kind, const Bytes& fields) {
    Change change;
    change.kind = static_cast<std::uint32_t>(kind);
    change.fields = fields;
    put(log, change);
    (kind == Kind::kHold ? holds_ : records_).push_back(ids_.back());
    return ids_.back();
  }

  void edit(LogId log, RecordId record, const Bytes& fields, std::uint32_t number) {
    Change change;
    change.record = record;
    change.fields = fields;
    for (const BareChange& seen : touching_[record]) {
      if (random_.once_in(2)) change.replaces.push_back({seen.id, check_of(seen), {number}});
    }
    put(log, change);
  }

  HeldChanges some_changes() {
    // Decisions on holds are what makes circles.
    if (!decisions_.empty() && random_.once_in(2)) {
      const ChangeId id = random_.pick(decisions_);
      return {id.log, id.seq, id.seq + static_cast<Seq>(random_.below(2))};
    }
    const LogId log = random_.pick(logs_);
    const Seq first = 1 + static_cast<Seq>(random_.below(world_[log].size() + 3));
    return {log, first, first + static_cast<Seq>(random_.below(4))};
  }

  void decide(RecordId hold) {
    Bytes fields;
    switch (random_.below(4)) {
      case 0:  // Another range, which no officer's screen offers.
        fields = hold_fields(some_changes(), HoldCause::kRole, "moved", 1);
        break;
      case 1:
        append_varint_field(fields, kStandingField, 0);
        break;
      default:
        append_varint_field(fields, kStandingField, kStruck);
    }
    edit(random_.once_in(5) ? hub() : tablet(), hold, fields, kStandingField);
    decisions_.push_back(ids_.back());
  }

  void step() {
    Bytes fields;
    switch (random_.below(12)) {
      case 0:
      case 1:  // Few animals, days and slots: double entries.
        append_record_ref_field(fields, 1, random_.pick(records_));
        append_varint_field(fields, 2, random_.below(2));
        append_varint_field(fields, 3, random_.below(2));
        birth(tablet(), Kind::kMeal, fields);
        break;
      case 2:
      case 3:
      case 4:
        append_varint_field(fields, 3, random_.below(2));
        if (random_.once_in(3)) append_record_ref_field(fields, kSameAsField, random_.pick(records_));
        edit(tablet(), random_.pick(records_), fields, 3);
        break;
      case 5:
      case 6:
      case 7:
        birth(random_.once_in(8) ? tablet() : hub(), Kind::kHold, hold_fields(some_changes(), HoldCause::kRole, "made up", 1));
        break;
      case 8: {
        if (!random_.once_in(4)) break;
        DeviceFields device;
        device.key = random_.once_in(2) ? kNextHub : kHub;
        device.of_hub = true;
        if (random_.once_in(2)) device.ends.push_back({hub(), 1 + static_cast<Seq>(random_.below(20))});
        birth(random_.once_in(4) ? tablet() : hub(), Kind::kDevice, to_fields(device));
        break;
      }
      default:
        if (!holds_.empty()) decide(random_.pick(holds_));
    }
  }

  Random& random_;
  std::vector<LogId> logs_;
  std::map<LogId, PublicKey> devices_;
  World world_;
  std::vector<ChangeId> ids_, records_, holds_, decisions_;
  std::map<RecordId, std::vector<BareChange>> touching_;
};

std::vector<BareReplica::Portion> some_portions(Random& random, const World& world) {
  std::vector<BareReplica::Portion> out;
  std::vector<LogId> logs;
  for (const auto& [id, changes] : world) logs.push_back(id);
  const std::size_t most = random.once_in(3) ? 1000 : 4;
  for (std::size_t n = 1 + random.below(6); n > 0; --n) out.emplace_back(random.pick(logs), 1 + random.below(most));
  return out;
}

}  // namespace

TEST_CASE("holds of decisions on holds come out the same in any order, in any batches, and made anew", "[hold][laws]") {
  Random random = test_random("schedules of holds");
  std::size_t decisions_held = 0;
  for (int round = 0; round < 25; ++round) {
    const World world = Scribe(random).write(10 + random.below(60));
    std::optional<std::pair<Bytes, std::set<ChangeId>>> first;
    for (int order = 0; order < 4; ++order) {
      ScratchFolder folder;
      BareReplica replica(folder / "records.db", kHub);
      for (int step = 0; !replica.holds_all(world); ++step) {
        replica.take(world, some_portions(random, world));
        CAPTURE(round, order, step);
        if (random.once_in(3)) REQUIRE(replica.is_as_rebuilt());
        if (random.once_in(6)) must(replica.store().records().reload(must(replica.store().hub_key())));
      }
      CAPTURE(round, order);
      REQUIRE(replica.is_as_rebuilt());
      const std::pair<Bytes, std::set<ChangeId>> now{replica.state(), replica.held()};
      if (!first) first = now;
      REQUIRE(now.second == first->second);
      REQUIRE(now.first == first->first);
      for (const ChangeId id : now.second) {
        Store& store = replica.store();
        const Change change = must(read_change(must(store.logs().bytes_of(store.logs().find_place(id)))));
        if (!change.is_birth() && store.records().holds().knows(store.logs().find_place(change.record))) ++decisions_held;
      }
    }
  }
  CHECK(decisions_held > 20);  // There were such, or this test shows nothing.
}

TEST_CASE("a decision that was held and is taken in counts whichever log comes first", "[hold]") {
  // The hub holds an entry; a tablet strikes that hold; the hub holds the strike; another tablet strikes the second hold.
  std::vector<std::uint64_t> ids = {1, 2, 3};
  do {
    const LogId hub{ids[0]}, north{ids[1]}, south{ids[2]};
    World world;
    const auto put = [&](LogId log, unsigned char key, std::uint64_t ms, std::uint32_t kind, RecordId record, const Bytes& fields) {
      Change change;
      change.stamp = Stamp::of(ms, 0);
      change.kind = kind;
      change.record = record;
      change.fields = fields;
      std::vector<BareChange>& changes = world[log];
      changes.push_back({{log, static_cast<Seq>(changes.size() + 1)}, key_number(key), write_change(change)});
      return changes.back().id;
    };
    Bytes strike;
    append_varint_field(strike, kStandingField, kStruck);
    const auto kHoldKind = static_cast<std::uint32_t>(Kind::kHold);
    const ChangeId entry = put(north, 10, 1000, static_cast<std::uint32_t>(Kind::kAnimal), {}, {});
    const ChangeId first = put(hub, 1, 2000, kHoldKind, {}, hold_fields({entry.log, entry.seq, entry.seq}, HoldCause::kRole, "one", 1));
    const ChangeId lifts = put(north, 10, 3000, 0, first, strike);
    const ChangeId second = put(hub, 1, 4000, kHoldKind, {}, hold_fields({lifts.log, lifts.seq, lifts.seq}, HoldCause::kRole, "two", 1));
    ScratchFolder folder;
    BareReplica replica(folder / "records.db", kHub);
    replica.take(world, {{hub, 9}, {north, 9}});
    CHECK(replica.held() == std::set<ChangeId>{entry, lifts});
    put(south, 11, 5000, 0, second, strike);
    replica.take(world, {{south, 9}});
    CHECK(replica.held().empty());
    CHECK(replica.is_as_rebuilt());
    CHECK(replica.held().empty());
  } while (std::next_permutation(ids.begin(), ids.end()));
}

TEST_CASE("an edit with another check shows the same before and after what it names", "[store][hold]") {
  std::vector<std::size_t> order = {0, 1, 2};
  std::set<Bytes> states;
  do {
    World world;
    const LogId hub{1}, north{2}, south{3};
    const auto put = [&](LogId log, unsigned char key, std::uint32_t kind, RecordId record, std::optional<std::uint32_t> check, const Bytes& fields) {
      Change change;
      change.stamp = Stamp::of(1000 + world[log].size(), 0);
      change.kind = kind;
      change.record = record;
      change.record_check = check;
      change.fields = fields;
      world[log].push_back({{log, static_cast<Seq>(world[log].size() + 1)}, key_number(key), write_change(change)});
      return world[log].back();
    };
    Bytes strike;
    append_varint_field(strike, kStandingField, kStruck);
    const BareChange animal = put(north, 10, static_cast<std::uint32_t>(Kind::kAnimal), {}, {}, {});
    const BareChange edit = put(north, 10, 0, animal.id, check_of(animal), strike);
    put(hub, 1, static_cast<std::uint32_t>(Kind::kHold), {}, {}, hold_fields({animal.id.log, 1, 1}, HoldCause::kRole, "one", 1));
    for (const BareChange& named : {animal, edit}) {
      put(south, 11, 0, named.id, check_of(named), strike);
      put(south, 11, 0, named.id, check_of(named) ^ 1u, strike);
      put(south, 11, 0, named.id, std::nullopt, strike);
    }
    ScratchFolder folder;
    BareReplica replica(folder / "records.db", kHub);
    const std::vector<LogId> logs = {hub, north, south};
    for (const std::size_t next : order) replica.take(world, {{logs[next], 9}});
    states.insert(replica.state());
    CHECK(replica.is_as_rebuilt());
  } while (std::next_permutation(order.begin(), order.end()));
  CHECK(states.size() == 1);
}

TEST_CASE("a birth with its fields in no order is kept the same, also when an edit came and was held", "[store][hold]") {
  World world;
  const LogId hub{1}, north{2};
  const auto put = [&](LogId log, unsigned char key, Kind kind, RecordId record, const Bytes& fields) {
    Change change;
    change.stamp = Stamp::of(1000 + world[log].size(), 0);
    change.kind = record ? 0 : static_cast<std::uint32_t>(kind);
    change.record = record;
    if (record) change.record_check = check_of(world[record.log][record.seq - 1]);
    change.fields = fields;
    world[log].push_back({{log, static_cast<Seq>(world[log].size() + 1)}, key_number(key), write_change(change)});
  };
  Bytes fields, strike;
  for (const std::uint32_t number : {7u, 4u, 3u}) append_varint_field(fields, number, number);
  append_varint_field(strike, kStandingField, kStruck);
  put(north, 10, Kind::kPortion, {}, fields);
  put(north, 10, Kind::kPortion, {north, 1}, strike);
  put(hub, 1, Kind::kHold, {}, hold_fields({north, 2, 2}, HoldCause::kRole, "one", 1));
  ScratchFolder folder;
  BareReplica replica(folder / "records.db", kHub);
  for (const LogId log : {north, hub}) {
    replica.take(world, {{log, 9}});
    CHECK(replica.is_as_rebuilt());
  }
}

TEST_CASE("a hold that names more of a branch than stands in it is heeded as far as that goes", "[hold]") {
  // An officer's edit may say so of a hold, or that of a device that lies.
  World world;
  const LogId hub{1}, north{2};
  const auto put = [&](LogId log, unsigned char key, Kind kind, const Bytes& fields) {
    Change change;
    change.stamp = Stamp::of(1000 + world[log].size(), 0);
    change.kind = static_cast<std::uint32_t>(kind);
    change.fields = fields;
    world[log].push_back({{log, static_cast<Seq>(world[log].size() + 1)}, key_number(key), write_change(change)});
  };
  put(north, 10, Kind::kAnimal, {});
  put(north, 10, Kind::kAnimal, {});
  ScratchFolder folder;
  BareReplica replica(folder / "records.db", kHub);
  replica.take(world, {{north, 9}});
  const LogEntry& log = *replica.store().logs().find(north);
  const NamedBranch fork{north, north, 2, must(replica.store().logs().tree_at(log, 2)).bytes(), {}, to_bytes(*log.opening)};
  const LogId branch{3};
  put(hub, 1, Kind::kHold, hold_fields({branch, 1, 9}, HoldCause::kFork, "continued twice", 1, &fork));
  replica.take(world, {{hub, 9}});
  REQUIRE(replica.store().logs().find(branch)->base() == 2);
  CHECK(replica.is_as_rebuilt());
}

TEST_CASE("many edits of one record, or doubles of one key, are folded and judged once a transaction",
          "[store]") {
  const LogId log{5};
  const auto world_of = [&](bool are_doubles) {
    World world;
    std::vector<BareChange>& changes = world[log];
    const auto put = [&](Change change) {
      change.stamp = Stamp::of(1000 + changes.size(), 0);
      changes.push_back({{log, static_cast<Seq>(changes.size() + 1)}, key_number(10), write_change(change)});
    };
    Bytes fields;
    append_record_ref_field(fields, 1, {log, 1});
    append_varint_field(fields, 3, 480);
    for (int i = 0; i < 4096; ++i) {
      Change change;
      if (i == 0) {
        change.kind = static_cast<std::uint32_t>(Kind::kAnimal);
      } else if (are_doubles) {
        change.kind = static_cast<std::uint32_t>(Kind::kMeal);
        change.fields = fields;
      } else {
        change.record = {log, 1};
        change.fields = fields;
      }
      put(change);
    }
    return world;
  };
  for (const bool are_doubles : {false, true}) {
    CAPTURE(are_doubles);
    ScratchFolder folder;
    BareReplica replica(folder / "records.db", kHub);
    replica.take(world_of(are_doubles), {{log, 300}, {log, 4000}});
    CHECK(replica.store().records().folds() == (are_doubles ? 0 : 1));
    CHECK(replica.store().records().groups_judged() == (are_doubles ? 1 : 0));
    CHECK(must(replica.store().records().review()).size() == (are_doubles ? 4095 : 1));
    CHECK(replica.is_as_rebuilt());
  }
}

TEST_CASE("a question in a transaction sees its edits, and many edits in a row fold a record once", "[store]") {
  Facility facility;
  Device& tablet = facility.add_device("north tablet");
  Author& author = tablet.replica->author();
  Projection& records = tablet.replica->store().records();
  Bytes name;
  append_bytes_field(name, 1, "Skerry pool");
  const RecordId pool = must(author.log_records({}, {{static_cast<std::uint32_t>(Kind::kPool), name, {}, {}}})).front();
  const Place place = tablet.replica->store().logs().find_place(pool);
  const std::uint64_t folds_before = records.folds();
  {
    auto write = must(tablet.replica->store().begin_write());
    for (int i = 0; i < 50; ++i) {
      Edit edit;
      edit.record = pool;
      append_bytes_field(edit.fields, 1, "Skerry pool " + std::to_string(i));
      edit.reason = "renamed";
      must(author.edit_in({}, edit));
      REQUIRE(must(records.load(place))->fields == edit.fields);
      REQUIRE(must(records.history(place))->folded.inputs.size() == static_cast<std::size_t>(i) + 2);
      REQUIRE(must(records.load(place))->disagreements.empty());
    }
    must(author.commit(write));
  }
  CHECK(records.folds() - folds_before == 1);
  CHECK(must(records.load(place))->fields.find("Skerry pool 49") != Bytes::npos);
  CHECK(tablet.replica->store().records().history(place).value()->folded.merged() == must(records.load(place))->fields);
}
