// Goal: the trail answers who gave which value when, on which device and why, for a record, an animal with all that
// belongs to it, a person, a device, days and fields; the same on every replica; and nothing that was ever written is
// obscured by what came later. Method: several devices at random work out of reach of each other, from a printed seed,
// with all that was written kept beside it; then small scenes for each mark.
//
// The wording the checks go by is that of 21 CFR 11.10(e), as looked up in the published Code of Federal Regulations:
// "secure, computer-generated, time-stamped audit trails to independently record the date and time of operator entries and
// actions that create, modify, or delete electronic records. Record changes shall not obscure previously recorded
// information."
#include <algorithm>
#include <map>
#include <set>

#include "base/built_in_fields.h"
#include "base/wire.h"
#include "model/lateness.h"
#include "support/random.h"
#include "support/shift.h"

using namespace wrackline;

namespace {

constexpr WallMs kMinute = 60'000, kHour = 60 * kMinute;

std::vector<proto::TrailEntry> search(Device& device, RecordId person, proto::TrailSearchCall search, int* pages = nullptr) {
  std::vector<proto::TrailEntry> out;
  proto::Call call;
  *call.mutable_trail_search() = std::move(search);
  for (;;) {
    const proto::TrailSearchReply page = Shift(device, person).must_call(call).trail_search();
    out.insert(out.end(), page.entries().begin(), page.entries().end());
    if (pages != nullptr) ++*pages;
    if (!page.has_next()) return out;
    *call.mutable_trail_search()->mutable_after() = page.next();
  }
}

ChangeId id_in(const proto::RecordRef& ref) { return {LogId{ref.log()}, ref.seq()}; }

// Something that somebody wrote: one field of one change.
struct Written {
  ChangeId change;
  std::uint32_t field = 0;
  Bytes value;
  RecordId author;
  std::string device;
  WallMs entered_ms = 0;
  Bytes reason;
};

// Reads what a device has written since, from its own logs: the bytes are what its author wrote.
void note_written(Device& device, std::map<LogId, Seq>& known, std::vector<Written>& out) {
  Store& store = device.replica->store();
  must(store.refresh());  // A refused call leaves nothing behind, also not in memory.
  for (const auto& [id, log] : store.logs().all()) {
    if (!device.replica->author().goes_on_in(id)) continue;
    for (Seq seq = known[id] + 1; seq <= log.head.seq; ++seq) {
      const Bytes bytes(must(store.logs().bytes_of(place_of(log.no, seq))));
      const Change change = must(read_change(bytes));
      std::map<std::uint32_t, Bytes> fields;
      for (const std::uint32_t cleared : change.clears) fields[cleared];
      WireReader reader(change.fields);
      WireField field;
      while (reader.next(field)) fields[field.number] += field.slice;
      for (const auto& [number, value] : fields)
        out.push_back({{id, seq}, number, value, change.author, device.name, change.entered_ms(), Bytes(change.reason)});
    }
    known[id] = log.head.seq;
  }
}

class RandomWork {
 public:
  RandomWork(Random& random, std::uint64_t seed) : random_(random), facility_(seed) {
    for (int i = 0; i < 3; ++i) facility_.add_device("tablet " + std::to_string(i));
    facility_.exchange_all();
    Shift desk(device(0), facility_.keeper());
    animals_ = {desk.animal("Nereid"), desk.animal("Thetis")};
    foods_ = {desk.food("herring"), desk.food("squid")};
    proto::Person person;
    person.set_name("Aske Lind");
    for (int role = 1; role <= 5; ++role) person.add_roles(static_cast<proto::Role>(role));
    people_ = {facility_.keeper(), desk.log(Kind::kPerson, person)};
    facility_.exchange_all();
    for (auto& d : facility_.devices()) note_written(*d, known_, written_);
  }

  void step() {
    Device& at = device(random_.below(3));
    *at.clock += random_.below(3 * kHour);
    const RecordId by = random_.pick(people_);
    Shift shift(at, by);
    switch (random_.below(9)) {
      case 0: case 1: {
        const auto [meal, portion] = shift.meal(random_.pick(animals_), random_.pick(foods_), random_.once_in(2) ? 510 : 960, 1000 * (1 + random_.below(900)));
        meals_.push_back(meal);
        portions_.push_back(portion);
        break;
      }
      case 2: case 3:
        if (!portions_.empty()) (void)shift.try_left(random_.pick(portions_), 1000 * random_.below(50), "weighed again", random_.once_in(2));
        break;
      case 4: {  // A strike, or its lifting; and settling where they disagree.
        if (portions_.empty()) break;
        proto::Call call;
        *call.mutable_strike()->mutable_record() = ref_of(random_.pick(portions_));
        call.mutable_strike()->set_reason("another's dish");
        call.mutable_strike()->set_lift(random_.once_in(3));
        call.mutable_strike()->set_settle(random_.once_in(2));
        shift.call(call);
        break;
      }
      case 5: case 6: {
        if (meals_.size() < 2) break;
        proto::Call call;
        *call.mutable_fold()->mutable_record() = ref_of(random_.pick(meals_));
        *call.mutable_fold()->mutable_into() = ref_of(random_.pick(meals_));
        call.mutable_fold()->set_reason("told twice");
        call.mutable_fold()->set_unfold(random_.once_in(3));
        call.mutable_fold()->set_settle(random_.once_in(2));
        shift.call(call);
        break;
      }
      case 7: {
        const proto::ReviewReply queue = shift.review();
        for (const proto::ReviewItem& item : queue.items()) {
          if (item.rule() != static_cast<std::uint32_t>(ReviewRule::kDoubleEntry) || !random_.once_in(2)) continue;
          proto::Call call;
          *call.mutable_accept()->mutable_record() = item.records(0);
          call.mutable_accept()->set_rule(item.rule());
          call.mutable_accept()->set_reason("fed twice");
          for (int i = 1; i < item.records_size(); ++i) *call.mutable_accept()->add_beside() = item.records(i);
          shift.call(call);
          break;
        }
        break;
      }
      default: must(facility_.exchange(at)); break;
    }
    note_written(at, known_, written_);
  }

  Device& device(std::size_t i) { return *facility_.devices()[i]; }
  Facility& facility() { return facility_; }
  const std::vector<Written>& written() const { return written_; }
  const std::vector<RecordId>& animals() const { return animals_; }
  const std::vector<RecordId>& people() const { return people_; }

 private:
  Random& random_;
  Facility facility_;
  std::vector<RecordId> animals_, foods_, people_, meals_, portions_;
  std::map<LogId, Seq> known_;
  std::vector<Written> written_;
};

// A yard with a pool and an animal in it, on one of two tablets that have met.
struct Yard {
  Facility facility;
  Device& north = facility.add_device("north tablet");
  Device& south = facility.add_device("south tablet");
  RecordId animal, food;
  Shift on_north{north, facility.keeper()}, on_south{south, facility.keeper()};

  Yard() {
    facility.exchange_all();
    proto::Pool pool;
    pool.set_name("Seal pool");
    pool.set_area("yard");
    proto::Animal seal;
    seal.set_name("Sila");
    *seal.mutable_pool() = ref_of(on_north.log(Kind::kPool, pool));
    animal = on_north.log(Kind::kAnimal, seal);
    food = on_north.food("herring");
    facility.exchange_all();
  }
  Day today() const { return static_cast<Day>(Facility::kStartMs / (24 * kHour)); }
};

}  // namespace

// "Record changes shall not obscure previously recorded information": every value that was ever written shows, with who
// wrote it ("operator entries"), where, and when ("independently record the date and time").
TEST_CASE("after any edits strikes folds and settles every value ever written still shows", "[trail]") {
  Random random = test_random("trail");
  std::size_t values = 0;
  for (int round = 0; round < 6; ++round) {
    RandomWork work(random, 700 + static_cast<std::uint64_t>(round));
    for (int i = 0; i < 120; ++i) work.step();
    work.facility().exchange_all();
    work.facility().exchange_all();
    proto::TrailSearchCall all;
    const std::vector<proto::TrailEntry> trail = search(work.facility().hub(), work.people()[0], all);
    std::multimap<std::pair<ChangeId, std::uint32_t>, const proto::TrailEntry*> shown;
    for (const proto::TrailEntry& entry : trail) shown.emplace(std::pair(id_in(entry.change()), entry.field()), &entry);
    for (const Written& written : work.written()) {
      const auto found = shown.equal_range({written.change, written.field});
      INFO(to_text(written.change) << " field " << written.field << " on " << written.device << ": " << written.reason);
      REQUIRE(std::distance(found.first, found.second) == 1);
      const proto::TrailEntry& entry = *found.first->second;
      CHECK(entry.value() == written.value);
      CHECK(id_in(entry.author()) == written.author);
      CHECK_FALSE(entry.author_name().empty());
      CHECK(entry.device_name() == written.device);
      CHECK(entry.entered_ms() == written.entered_ms);
      CHECK(entry.reason() == written.reason);
      ++values;
    }
    // The order, the values and what stands are the same on every replica (what its own hub receipts say apart).
    for (auto& device : work.facility().devices()) {
      INFO(device->name);
      const std::vector<proto::TrailEntry> theirs = search(*device, work.people()[0], all);
      REQUIRE(theirs.size() == trail.size());
      for (std::size_t i = 0; i < trail.size(); ++i) {
        REQUIRE(id_in(theirs[i].change()) == id_in(trail[i].change()));
        CHECK(theirs[i].field() == trail[i].field());
        CHECK(theirs[i].head() == trail[i].head());
        CHECK(theirs[i].disagrees() == trail[i].disagrees());
        CHECK(theirs[i].after_close() == trail[i].after_close());
      }
    }
    // Asked in small pages it is the same.
    int pages = 0;
    all.set_limit(7);
    const std::vector<proto::TrailEntry> paged = search(work.device(0), work.people()[0], all, &pages);
    REQUIRE(paged.size() == trail.size());
    CHECK(pages > 10);
    for (std::size_t i = 0; i < trail.size(); ++i) REQUIRE(id_in(paged[i].change()) == id_in(trail[i].change()));
  }
  REQUIRE(values > 500);
}

TEST_CASE("a search by animal person device day and field finds what a walk through everything finds", "[trail]") {
  Random random = test_random("trail by part");
  RandomWork work(random, 800);
  for (int i = 0; i < 200; ++i) work.step();
  work.facility().exchange_all();
  Device& desk = work.device(1);
  const RecordId me = work.people()[0];
  const std::vector<proto::TrailEntry> trail = search(desk, me, {});
  const auto expect_same = [&](const proto::TrailSearchCall& call, auto fits) {
    std::vector<std::pair<ChangeId, std::uint32_t>> wanted, found;
    for (const proto::TrailEntry& entry : trail)
      if (fits(entry)) wanted.emplace_back(id_in(entry.change()), entry.field());
    for (const proto::TrailEntry& entry : search(desk, me, call)) found.emplace_back(id_in(entry.change()), entry.field());
    CHECK_FALSE(wanted.empty());
    CHECK(found == wanted);
  };
  // The owners of records, by the records' own fields.
  std::map<RecordId, RecordId> meal_of, animal_of;
  std::map<RecordId, Day> day_of;
  for (const proto::TrailEntry& entry : trail) {
    if (!entry.birth()) continue;
    const proto::RecordView view = Shift(desk, me).view(id_in(entry.record()));
    proto::Meal meal;
    proto::Portion portion;
    if (view.kind() == static_cast<std::uint32_t>(Kind::kMeal) && meal.ParseFromString(view.fields())) {
      animal_of[id_in(entry.record())] = id_in(meal.animal());
      day_of[id_in(entry.record())] = meal.day();
    }
    if (view.kind() == static_cast<std::uint32_t>(Kind::kPortion) && portion.ParseFromString(view.fields()))
      meal_of[id_in(entry.record())] = id_in(portion.meal());
  }
  const auto whole_of = [&](const proto::TrailEntry& entry) {
    const auto meal = meal_of.find(id_in(entry.record()));
    return meal == meal_of.end() ? id_in(entry.record()) : meal->second;
  };
  proto::TrailSearchCall of_animal;
  *of_animal.mutable_animal() = ref_of(work.animals()[0]);
  expect_same(of_animal, [&](const proto::TrailEntry& e) {
    return whole_of(e) == work.animals()[0] || animal_of[whole_of(e)] == work.animals()[0];
  });
  proto::TrailSearchCall of_person;
  *of_person.mutable_person() = ref_of(work.people()[1]);
  expect_same(of_person, [&](const proto::TrailEntry& e) { return id_in(e.author()) == work.people()[1]; });
  const RecordId tablet = must(desk.replica->devices().find(work.device(2).keystore->public_key())).record;
  proto::TrailSearchCall on_device;
  *on_device.mutable_device() = ref_of(tablet);
  expect_same(on_device, [&](const proto::TrailEntry& e) { return e.device_name() == "tablet 2"; });
  const Day day = day_of.begin()->second;
  proto::TrailSearchCall of_day;
  of_day.set_first_day(day);
  of_day.set_last_day(day);
  expect_same(of_day, [&](const proto::TrailEntry& e) {
    const auto of = day_of.find(whole_of(e));
    return of != day_of.end() && of->second == day;
  });
  // One animal's day is found by the day, its many days by the animal.
  std::set<std::pair<RecordId, Day>> days;
  for (const auto& [meal, on] : day_of) days.emplace(animal_of[meal], on);
  REQUIRE(days.size() > 2);
  for (const auto& [animal, on] : days) {
    for (const Day more : {0, 1, 31, 400}) {
      proto::TrailSearchCall of_days;
      *of_days.mutable_animal() = ref_of(animal);
      of_days.set_first_day(on);
      of_days.set_last_day(on + more);
      expect_same(of_days, [&, animal = animal, on = on](const proto::TrailEntry& e) {
        const auto of = day_of.find(whole_of(e));
        return of != day_of.end() && animal_of[of->first] == animal && of->second >= on && of->second <= on + more;
      });
    }
  }
  proto::TrailSearchCall of_field;
  of_field.set_kind(static_cast<std::uint32_t>(Kind::kPortion));
  of_field.set_field(proto::Portion::kLeftMgFieldNumber);
  expect_same(of_field, [&](const proto::TrailEntry& e) {
    return e.kind() == static_cast<std::uint32_t>(Kind::kPortion) && e.field() == proto::Portion::kLeftMgFieldNumber;
  });
  proto::TrailSearchCall struck;
  struck.set_struck(true);
  expect_same(struck, [&](const proto::TrailEntry& e) { return e.struck(); });
}

TEST_CASE("a late entry shows its lateness and keeps when it happened entered and was held apart", "[trail]") {
  Yard yard;
  auto& [facility, north, south, animal, food, on_north, on_south] = yard;
  const WallMs happened = *north.clock;
  proto::Measure measure;
  *measure.mutable_animal() = ref_of(animal);
  measure.set_day(yard.today());
  measure.set_happened_ms(happened);
  measure.set_utc_offset_min(0);
  measure.set_quantity(proto::QUANTITY_MASS);
  measure.set_value(84'000'000'000);
  const RecordId in_time = on_north.log(Kind::kMeasure, measure);
  *north.clock = happened + kLateEntryMs + 1;
  const RecordId late = on_north.log(Kind::kMeasure, measure);
  on_north.strike(late, "told twice");
  *north.clock = happened + kLateEntryMs + kLateHeldMs + kHour;
  *facility.hub().clock = *south.clock = *north.clock;
  measure.set_happened_ms(*north.clock);
  measure.set_day(static_cast<Day>(*north.clock / (24 * kHour)));
  const RecordId fresh = on_north.log(Kind::kMeasure, measure);
  facility.exchange_all();
  std::map<RecordId, std::map<std::uint32_t, proto::TrailEntry>> by_record;
  proto::TrailSearchCall of_animal;
  *of_animal.mutable_animal() = ref_of(animal);
  for (const proto::TrailEntry& entry : search(south, facility.keeper(), of_animal)) by_record[id_in(entry.record())][entry.field()] = entry;
  constexpr int kValue = proto::Measure::kValueFieldNumber;
  // Entered when it happened, and more than 72 h on the way to the hub.
  CHECK(by_record[in_time][kValue].late());
  CHECK(by_record[in_time][kValue].happened_ms() == happened);
  CHECK(by_record[in_time][kValue].entered_ms() == happened);
  CHECK(by_record[in_time][kValue].held_ms() == *facility.hub().clock);
  // Entered more than 24 h after, in the same exchange.
  CHECK(by_record[late][kValue].late());
  CHECK(by_record[late][kValue].entered_ms() == happened + kLateEntryMs + 1);
  CHECK_FALSE(by_record[fresh][kValue].late());
  proto::TrailSearchCall only_late = of_animal;
  only_late.set_late(true);
  for (const proto::TrailEntry& entry : search(south, facility.keeper(), only_late)) {
    CHECK(entry.late());
    CHECK(id_in(entry.record()) != fresh);
  }
}

TEST_CASE("an officer's strike long after the event is not itself a late entry of it", "[trail]") {
  // Only the thresholds count: a word about a record is judged by its own way to the hub.
  CHECK_FALSE(is_late(0, 10 * kLateEntryMs, 0));
  CHECK(is_late(1, 2 + kLateEntryMs, 0));
  CHECK_FALSE(is_late(1, 1 + kLateEntryMs, 0));
  CHECK(is_late(0, 1, 2 + kLateHeldMs));
  CHECK_FALSE(is_late(0, 1, 1 + kLateHeldMs));
  Yard yard;
  const auto [meal, portion] = yard.on_north.meal(yard.animal, yard.food, 510, 1000);
  *yard.north.clock += 2 * kLateEntryMs;
  yard.on_north.strike(meal, "another's");
  proto::TrailSearchCall of_meal;
  *of_meal.mutable_record() = ref_of(meal);
  const auto entries = search(yard.north, yard.facility.keeper(), of_meal);
  REQUIRE(entries.back().field() == kStandingField);
  CHECK_FALSE(entries.back().late());
  CHECK(entries.back().struck());
  // The struck record's first values are marked as such, and shown.
  CHECK(entries.front().birth());
  CHECK(entries.front().struck());
}

TEST_CASE("a clock that is ahead is marked and can be searched for", "[trail]") {
  Yard yard;
  *yard.north.clock = 4'070'908'800'000;  // 2099
  const auto [meal, portion] = yard.on_north.meal(yard.animal, yard.food, 510, 1000);
  yard.facility.exchange_all();
  proto::TrailSearchCall suspect;
  suspect.set_clock_suspect(true);
  std::set<RecordId> records;
  for (const proto::TrailEntry& entry : search(yard.south, yard.facility.keeper(), suspect)) records.insert(id_in(entry.record()));
  CHECK(records == std::set<RecordId>{meal, portion});
}

TEST_CASE("what the hub holds shows in the trail marked and standing for nothing", "[trail]") {
  Yard yard;
  proto::Person vet;
  vet.set_name("Aske Lind");
  vet.add_roles(proto::ROLE_VET);
  const RecordId person = yard.on_north.log(Kind::kPerson, vet);
  yard.facility.exchange_all();
  *yard.north.clock += kMinute;
  proto::Person keeper;
  keeper.add_roles(proto::ROLE_KEEPER);
  must(yard.on_north.try_edit(person, keeper, "left the clinic"));
  must(yard.facility.exchange(yard.north));
  *yard.south.clock += 2 * kMinute;
  const RecordId order = Shift(yard.south, person).order(yard.animal);
  yard.facility.exchange_all();
  proto::TrailSearchCall of_animal;
  *of_animal.mutable_animal() = ref_of(yard.animal);
  of_animal.set_held(true);
  for (Device* device : {&yard.north, &yard.south, &yard.facility.hub()}) {
    CAPTURE(device->name);
    const auto entries = search(*device, yard.facility.keeper(), of_animal);
    REQUIRE_FALSE(entries.empty());
    for (const proto::TrailEntry& entry : entries) {
      CHECK(id_in(entry.record()) == order);
      CHECK(entry.held());
      CHECK_FALSE(entry.head());
      CHECK(entry.author_name() == "Aske Lind");
    }
  }
}

TEST_CASE("the trail of what is not here is refused in words", "[trail]") {
  Yard yard;
  proto::Call call;
  call.mutable_trail_search()->mutable_animal()->set_log(77);
  call.mutable_trail_search()->mutable_animal()->set_seq(1);
  CHECK(yard.on_north.call(call).failure().code() == static_cast<std::uint32_t>(ErrorCode::kNotFound));
  call.mutable_trail_search()->Clear();
  call.mutable_trail_search()->set_field(3);
  CHECK(yard.on_north.call(call).failure().message() == "searching the trail: a field is named and no kind; say of which kind of record");
  // A cursor from elsewhere is only a place to begin.
  call.mutable_trail_search()->Clear();
  proto::LogPoint& point = *call.mutable_trail_search()->mutable_after()->add_logs();
  point.set_log(yard.animal.log.value);
  point.set_seq(~0u);
  CHECK(yard.on_north.must_call(call).trail_search().entries_size() > 0);
}
