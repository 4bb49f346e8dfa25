// Goal: a close of an area's day says what was closed, so that anybody who holds the same changes can tell whether it
// stands, and what came after. Method: two tablets and a hub with a yard and a house; closes through the public call;
// amendments of each kind; and random work from a printed seed.
#include <map>
#include <set>

#include "base/built_in_fields.h"
#include "reading/closing.h"
#include "support/random.h"
#include "support/shift.h"

using namespace wrackline;

namespace {


ChangeId id_in(const proto::RecordRef& ref) { return {LogId{ref.log()}, ref.seq()}; }

struct Yard {
  Facility facility;
  Device& north = facility.add_device("north tablet");
  Device& south = facility.add_device("south tablet");
  Shift on_north{north, facility.keeper()}, on_south{south, facility.keeper()};
  std::map<std::string, RecordId> areas;
  RecordId seal, hen, food;

  Yard() {
    facility.exchange_all();
    for (const char* name : {"yard", "house"}) {
      proto::Area area;
      area.set_name(name);
      areas[name] = on_north.log(Kind::kArea, area);
    }
    seal = animal_in("Seal pool", "yard", "Sila");
    hen = animal_in("Hen house", "house", "Pip");
    food = on_north.food("herring");
    facility.exchange_all();
  }
  RecordId animal_in(const std::string& pool_name, const std::string& area, const std::string& name) {
    proto::Pool pool;
    pool.set_name(pool_name);
    *pool.mutable_in_area() = ref_of(areas.at(area));
    proto::Animal animal;
    animal.set_name(name);
    *animal.mutable_pool() = ref_of(on_north.log(Kind::kPool, pool));
    return on_north.log(Kind::kAnimal, animal);
  }
  Day today() const { return static_cast<Day>(Facility::kStartMs / kDayMs); }

  proto::Call close_call(const std::string& area = "yard") const {
    proto::Call call;
    call.mutable_day_close()->set_area(area);
    call.mutable_day_close()->set_day(today());
    proto::ZoneOffset& offset = *call.mutable_day_close()->add_zone();
    offset.set_from_ms(0);
    offset.set_utc_offset_min(0);
    return call;
  }
  // With all that is open confirmed.
  proto::DayCloseReply close(Shift& shift, const std::string& area = "yard") const {
    proto::Call call = close_call(area);
    const proto::Reply first = shift.call(call);
    if (!first.has_failure()) return first.day_close();
    REQUIRE(first.failure().code() == static_cast<std::uint32_t>(ErrorCode::kUnconfirmed));
    *call.mutable_confirmed()->mutable_questions() = first.failure().questions();
    call.mutable_confirmed()->set_because("seen to");
    return shift.must_call(call).day_close();
  }
  static std::vector<proto::CloseView> closes(Shift& shift) {
    proto::Call call;
    call.mutable_closes();
    const proto::ClosesReply reply = shift.must_call(call).closes();
    return {reply.closes().begin(), reply.closes().end()};
  }
};

std::set<ChangeId> amended_by(const proto::CloseView& close) {
  std::set<ChangeId> out;
  for (const proto::TrailEntry& entry : close.amendments()) out.insert(id_in(entry.change()));
  return out;
}

}  // namespace

TEST_CASE("a close names what is recorded of its area and day and is sealed at once", "[close]") {
  Yard yard;
  const auto [meal, portion] = yard.on_north.meal(yard.seal, yard.food, 510, 1'000'000);
  must(yard.on_north.try_left(portion, 0, "weighed"));
  yard.on_north.meal(yard.hen, yard.food, 510, 1'000'000);  // Another area.
  const proto::DayCloseReply reply = yard.close(yard.on_north);
  CHECK(reply.records() == 2);
  CHECK(reply.changes() == 3);
  CHECK(reply.sha256().size() == 32);
  CHECK(reply.sealed());
  const LogEntry& log = *yard.north.replica->store().logs().find(yard.north.replica->author().log(LogClass::kCare));
  CHECK(log.sealed == log.head.seq);
  const auto closes = Yard::closes(yard.on_north);
  REQUIRE(closes.size() == 1);
  CHECK(closes[0].standing() == proto::CLOSE_STANDING_HOLDS);
  CHECK(closes[0].author_name() == "Ines Valdor");
  CHECK(closes[0].device_name() == "north tablet");
  CHECK(closes[0].area() == "yard");
  CHECK(closes[0].day() == yard.today());
  CHECK(closes[0].sealed());
  CHECK(closes[0].amended_changes() == 0);
}

TEST_CASE("a close holds on a replica that has its changes, and is not here on one that has not", "[close]") {
  Yard yard;
  yard.on_south.meal(yard.seal, yard.food, 960, 500'000);
  must(yard.facility.exchange(yard.south));
  must(yard.facility.exchange(yard.north));
  yard.on_north.meal(yard.seal, yard.food, 510, 1'000'000);
  yard.close(yard.on_north);
  yard.facility.exchange_all();
  const auto here = Yard::closes(yard.on_north), there = Yard::closes(yard.on_south);
  REQUIRE(there.size() == 1);
  CHECK(there[0].standing() == proto::CLOSE_STANDING_HOLDS);
  CHECK(there[0].sha256() == here[0].sha256());
  CHECK(there[0].records() == 4);
  // A tablet that has the close and not what the other tablet wrote before it.
  Device& late = yard.facility.add_device("late tablet");
  Shift on_late(late, yard.facility.keeper());
  const LogEntry& log = *yard.north.replica->store().logs().find(yard.south.replica->author().log(LogClass::kBulk));
  const VersionVector without = {{log.id, {log.head.seq, first8(log.head.root)}}};
  must(late.replica->import_bundle(must(yard.north.replica->export_bundle(without)).bytes, false));
  REQUIRE(Yard::closes(on_late).size() == 1);
  CHECK(Yard::closes(on_late)[0].standing() == proto::CLOSE_STANDING_NOT_HERE);
  must(late.replica->import_bundle(must(yard.north.replica->export_bundle({})).bytes, false));
  CHECK(Yard::closes(on_late)[0].standing() == proto::CLOSE_STANDING_HOLDS);
}

TEST_CASE("changes entered or brought after a close are amendments, and those it covers are not", "[close]") {
  Yard yard;
  const auto [meal, portion] = yard.on_north.meal(yard.seal, yard.food, 510, 1'000'000);
  yard.facility.exchange_all();
  // Entered before the close on a tablet out of reach.
  const auto [before, before_portion] = yard.on_south.meal(yard.seal, yard.food, 960, 700'000);
  *yard.north.clock += kHourMs;
  const RecordId close = id_in(yard.close(yard.on_north).record());
  *yard.north.clock += kHourMs;
  const ChangeId left = must(yard.on_north.try_left(portion, 80'000, "found under the ledge"));
  yard.on_north.meal(yard.hen, yard.food, 600, 1000);  // This meal is of another area, so it is no amendment.
  yard.facility.exchange_all();
  for (Shift* shift : {&yard.on_north, &yard.on_south}) {
    const auto closes = Yard::closes(*shift);
    REQUIRE(closes.size() == 1);
    CHECK(closes[0].standing() == proto::CLOSE_STANDING_HOLDS);
    CHECK(amended_by(closes[0]) == std::set<ChangeId>{left, before, before_portion});
    CHECK(closes[0].amended_changes() == 3);
    for (const proto::TrailEntry& entry : closes[0].amendments()) {
      CHECK(entry.came_later() == (id_in(entry.change()) != left));
      CHECK_FALSE(entry.author_name().empty());
      if (id_in(entry.change()) == left) CHECK(entry.reason() == "found under the ledge");
    }
    // The trail says the same.
    proto::Call call;
    call.mutable_trail_search()->set_after_close(true);
    std::set<ChangeId> in_trail;
    const proto::TrailSearchReply amended = shift->must_call(call).trail_search();
    for (const proto::TrailEntry& entry : amended.entries()) {
      in_trail.insert(id_in(entry.change()));
      CHECK(id_in(entry.close()) == close);
    }
    CHECK(in_trail == amended_by(closes[0]));
  }
  // Closed once more, with what came: nothing is left of amendments to that one.
  yard.close(yard.on_north);
  const auto closes = Yard::closes(yard.on_north);
  REQUIRE(closes.size() == 2);
  CHECK(closes[0].amended_changes() + closes[1].amended_changes() == 3);
}

TEST_CASE("a record moved to another day after the close amends the day it was closed with", "[close]") {
  Yard yard;
  const auto [meal, portion] = yard.on_north.meal(yard.seal, yard.food, 510, 1'000'000);
  yard.close(yard.on_north);
  proto::Meal moved;
  moved.set_day(yard.today() - 1);
  moved.set_happened_ms(Facility::kStartMs - kDayMs);
  const ChangeId change = must(yard.on_north.try_edit(meal, moved, "it was yesterday's"));
  const auto closes = Yard::closes(yard.on_north);
  CHECK(amended_by(closes[0]) == std::set<ChangeId>{change});
  CHECK(closes[0].standing() == proto::CLOSE_STANDING_HOLDS);
  const auto trail = yard.on_north.trail(meal);
  CHECK(trail.entries(trail.entries_size() - 1).after_close());
}

TEST_CASE("an animal that moves to another area takes nothing out of what was closed", "[close]") {
  Yard yard;
  yard.on_north.meal(yard.seal, yard.food, 510, 1'000'000);
  yard.on_north.meal(yard.hen, yard.food, 510, 1'000'000);
  yard.close(yard.on_north);
  const auto move_to = [&](RecordId animal, const std::string& pool, const std::string& area) {
    proto::Animal moved;
    const proto::Animal with = [&] {
      proto::Animal found;
      REQUIRE(found.ParseFromString(yard.on_north.load(yard.animal_in(pool, area, "of " + pool)).fields));
      return found;
    }();
    *moved.mutable_pool() = with.pool();
    must(yard.on_north.try_edit(animal, moved, "moved"));
  };
  move_to(yard.seal, "Seal pool 2", "house");
  // Her meal was known when the yard's day was closed, and was not the yard's.
  move_to(yard.hen, "Hen run", "yard");
  const auto closes = Yard::closes(yard.on_north);
  CHECK(closes[0].standing() == proto::CLOSE_STANDING_HOLDS);
  CHECK(closes[0].amended_changes() == 0);
}

TEST_CASE("what is open is asked about first and stands in the close", "[close]") {
  Yard yard;
  yard.facility.exchange_all();
  yard.on_north.meal(yard.seal, yard.food, 510, 1'000'000);
  yard.on_north.order(yard.seal);  // Due at 08:00, and nothing recorded.
  proto::Call look = yard.close_call();
  look.mutable_day_close()->set_look_only(true);
  const proto::DayCloseReply found = yard.on_north.must_call(look).day_close();
  std::multiset<proto::OpenRule> rules;
  for (const proto::OpenPoint& point : found.open()) rules.insert(point.rule());
  CHECK(rules.count(proto::OPEN_RULE_UNWEIGHED) == 1);
  CHECK(rules.count(proto::OPEN_RULE_NOT_DONE) == 1);
  CHECK(Yard::closes(yard.on_north).empty());
  const proto::Reply asked = yard.on_north.call(yard.close_call());
  REQUIRE(asked.failure().code() == static_cast<std::uint32_t>(ErrorCode::kUnconfirmed));
  CHECK(asked.failure().questions_size() >= 2);
  CHECK(Yard::closes(yard.on_north).empty());
  yard.close(yard.on_north);
  const auto closes = Yard::closes(yard.on_north);
  REQUIRE(closes.size() == 1);
  CHECK(closes[0].confirmation().because() == "seen to");
  CHECK(closes[0].confirmation().questions_size() == asked.failure().questions_size());
}

TEST_CASE("a keeper may close their area and an admin alone may not", "[close]") {
  Yard yard;
  proto::Person person;
  person.set_name("Jo Brekke");
  person.add_roles(proto::ROLE_KEEPER);
  Shift keeper(yard.north, yard.on_north.log(Kind::kPerson, person));
  person.set_name("Ada Sund");
  person.clear_roles();
  person.add_roles(proto::ROLE_ADMIN);
  Shift admin(yard.north, yard.on_north.log(Kind::kPerson, person));
  CHECK(yard.close(keeper).sealed());
  proto::Call call = yard.close_call();
  const proto::Reply first = admin.call(call);
  *call.mutable_confirmed()->mutable_questions() = first.failure().questions();
  CHECK(admin.call(call).failure().code() == static_cast<std::uint32_t>(ErrorCode::kUnauthorized));
}

TEST_CASE("a close that is only said names no changes and goes by the clocks", "[close]") {
  Yard yard;
  const auto [meal, portion] = yard.on_north.meal(yard.seal, yard.food, 510, 1'000'000);
  proto::DayClose said;
  *said.mutable_in_area() = ref_of(yard.areas.at("yard"));
  said.set_day(yard.today());
  *yard.north.clock += kHourMs;
  const RecordId close = yard.on_north.log(Kind::kDayClose, said);
  *yard.north.clock += kHourMs;
  const ChangeId left = must(yard.on_north.try_left(portion, 0, "weighed"));
  const auto closes = Yard::closes(yard.on_north);
  REQUIRE(closes.size() == 1);
  CHECK(closes[0].standing() == proto::CLOSE_STANDING_SAID);
  CHECK(amended_by(closes[0]) == std::set<ChangeId>{left});
  // Struck, it closes nothing any more.
  yard.on_north.strike(close, "too early");
  CHECK(Yard::closes(yard.on_north).empty());
  const proto::TrailReply trail = yard.on_north.trail(portion);
  CHECK(id_in(trail.entries(trail.entries_size() - 1).change()) == left);
  CHECK_FALSE(trail.entries(trail.entries_size() - 1).after_close());
}

TEST_CASE("after random work each close stands everywhere, and its amendments are all it leaves out",
          "[close]") {
  Random random = test_random("day close");
  std::size_t amendments = 0;
  for (int round = 0; round < 5; ++round) {
    Yard yard;
    std::vector<RecordId> portions;
    for (int i = 0; i < 60; ++i) {
      Device& device = random.once_in(2) ? yard.north : yard.south;
      Shift shift(device, yard.facility.keeper());
      *device.clock += random.below(10 * 60'000);
      if (static_cast<Day>(*device.clock / kDayMs) != yard.today()) *device.clock = Facility::kStartMs;
      switch (random.below(8)) {
        case 0: case 1: case 2:
          portions.push_back(shift.meal(random.once_in(3) ? yard.hen : yard.seal, yard.food, 510, 1000 + random.below(9)).second);
          break;
        case 3: case 4:
          if (!portions.empty()) (void)shift.try_left(random.pick(portions), random.below(900), "weighed", true);
          break;
        case 5: must(yard.facility.exchange(device)); break;
        default:
          if (random.once_in(3)) yard.close(shift, random.once_in(4) ? "house" : "yard");
      }
    }
    yard.facility.exchange_all();
    std::vector<std::string> seen;
    for (Device* device : {&yard.north, &yard.south, &yard.facility.hub()}) {
      Shift shift(*device, yard.facility.keeper());
      Bytes all;
      for (const proto::CloseView& close : Yard::closes(shift)) {
        CHECK(close.standing() == proto::CLOSE_STANDING_HOLDS);
        amendments += close.amended_changes();
        proto::CloseView told = close;
        told.clear_held_ms();
        told.clear_sealed();
        for (proto::TrailEntry& entry : *told.mutable_amendments()) {
          entry.clear_held_ms();
          entry.clear_late();
          entry.clear_clock_suspect();
        }
        all += told.SerializeAsString();
      }
      seen.push_back(all);
    }
    CHECK(seen[0] == seen[1]);
    CHECK(seen[0] == seen[2]);
  }
  REQUIRE(amendments > 20);
}
