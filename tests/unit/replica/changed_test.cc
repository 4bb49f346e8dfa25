// Goal: who pulls what has changed misses nothing, hears of nothing twice, and need not be quick. Method: keepers at work on two
// tablets, a cursor kept over exchanges, restarts and holds; and against the trail of a random shift.
#include <map>
#include <set>

#include "support/random.h"
#include "support/shift.h"
#include "sync/exchange.h"

using namespace wrackline;

namespace {

// An app that shows records.
class Screen {
 public:
  explicit Screen(Device& device) : device_(device) { (void)pull(); }

  std::map<RecordId, proto::ChangedRecord> pull(std::uint32_t changes_max = 0) {
    std::map<RecordId, proto::ChangedRecord> out;
    for (bool has_more = true; has_more;) {
      proto::Call call;
      call.mutable_changed()->set_cursor(cursor_);
      call.mutable_changed()->set_changes_max(changes_max);
      proto::Reply reply;
      REQUIRE(reply.ParseFromString(dispatch(*device_.replica, call.SerializeAsString(), CallScope::kReadOnly)));
      REQUIRE(reply.has_changed());
      for (const auto& record : reply.changed().records()) out[{LogId{record.record().log()}, record.record().seq()}] = record;
      pages_ += 1;
      cursor_ = reply.changed().cursor();
      has_more = reply.changed().has_more();
    }
    return out;
  }
  int pages() const { return pages_; }

 private:
  Device& device_;
  Bytes cursor_;
  int pages_ = 0;
};

}  // namespace

TEST_CASE("a screen begins with nothing, and hears of an entry, an edit, a strike and a fold", "[changed]") {
  TwoKeepers keepers;
  Screen screen(keepers.north);
  CHECK(screen.pull().empty());
  const auto [meal, portion] = keepers.on_north.meal(keepers.animal, keepers.food, 480, 1'000'000);
  auto heard = screen.pull();
  REQUIRE(heard.size() == 2);
  CHECK(heard[meal].kind() == static_cast<std::uint32_t>(Kind::kMeal));
  CHECK(heard[portion].by_this_device());
  must(keepers.on_north.try_left(portion, 50'000, "weighed again"));
  heard = screen.pull();
  REQUIRE(heard.size() == 1);
  CHECK(heard.count(portion) == 1);
  CHECK(heard[portion].kind() == static_cast<std::uint32_t>(Kind::kPortion));
  keepers.on_north.strike(meal, "another animal's");
  CHECK(screen.pull().count(meal) == 1);
  const RecordId twin = keepers.on_north.meal(keepers.animal, keepers.food, 720, 1'000'000).first;
  const RecordId other = keepers.on_north.meal(keepers.animal, keepers.food, 720, 1'000'000).first;
  (void)screen.pull();
  keepers.on_north.fold(other, twin, "the same meal");
  CHECK(screen.pull().count(other) == 1);
  CHECK(screen.pull().empty());
}

TEST_CASE("what an exchange brings is heard of as another device's", "[changed]") {
  TwoKeepers keepers;
  Screen screen(keepers.south);
  const RecordId meal = keepers.on_north.meal(keepers.animal, keepers.food, 480, 1'000'000).first;
  keepers.facility.exchange_all();
  auto heard = screen.pull();
  REQUIRE(heard.count(meal) == 1);
  CHECK_FALSE(heard[meal].by_this_device());
}

TEST_CASE("a slow screen gets it page by page, after a restart too", "[changed]") {
  TwoKeepers keepers;
  Screen screen(keepers.north);
  for (std::uint32_t slot = 0; slot < 40; ++slot) keepers.on_north.meal(keepers.animal, keepers.food, slot * 30, 1'000'000);
  keepers.north.reopen();
  const int before = screen.pages();
  CHECK(screen.pull(7).size() == 80);
  CHECK(screen.pages() - before == (80 + 6) / 7);
}

TEST_CASE("what a hold takes out of account has changed, and what lets it in again", "[changed]") {
  TwoKeepers keepers;
  proto::Person vet;
  vet.set_name("Aske Lind");
  vet.add_roles(proto::ROLE_VET);
  const RecordId aske = keepers.on_north.log(Kind::kPerson, vet);
  keepers.facility.exchange_all();
  // The role is taken away while the south tablet is out of reach, and there an order is written all the same.
  *keepers.north.clock += 60'000;
  proto::Person no_vet;
  no_vet.add_roles(proto::ROLE_KEEPER);
  must(keepers.on_north.try_edit(aske, no_vet, "left the clinic"));
  must(keepers.facility.exchange(keepers.north));
  *keepers.south.clock += 120'000;
  const RecordId order = Shift(keepers.south, aske).order(keepers.animal);
  Screen screen(keepers.south);
  keepers.facility.exchange_all();
  const auto heard = screen.pull();
  REQUIRE(heard.count(order) == 1);
  RecordId hold;
  for (const auto& [id, record] : heard) {
    if (record.kind() == static_cast<std::uint32_t>(Kind::kHold)) hold = id;
  }
  REQUIRE(hold);
  keepers.on_north.strike(hold, "the vet was asked and meant it");
  keepers.facility.exchange_all();
  CHECK(screen.pull().count(order) == 1);
}

TEST_CASE("a cursor that was never given out is refused in words", "[changed]") {
  TwoKeepers keepers;
  proto::Call call;
  call.mutable_changed()->set_cursor("\xff\xff\xff");
  proto::Reply reply;
  REQUIRE(reply.ParseFromString(dispatch(*keepers.north.replica, call.SerializeAsString())));
  CHECK(reply.failure().message().find("begin with an empty one") != std::string::npos);
}

TEST_CASE("LAW: the records heard of are those that were touched, whatever the size of a page", "[changed]") {
  Random random = test_random("changed");
  for (int run = 0; run < 20; ++run) {
    TwoKeepers keepers;
    Screen screen(keepers.north);
    std::set<RecordId> touched;
    std::vector<RecordId> portions;
    for (int step = 0; step < 30; ++step) {
      Shift& shift = random.once_in(2) ? keepers.on_north : keepers.on_south;
      switch (random.below(4)) {
        case 0:
          keepers.facility.exchange_all();
          break;
        case 1:
          if (!portions.empty()) {
            const RecordId portion = random.pick(portions);
            // The other tablet may not know it yet.
            if (shift.try_left(portion, random.below(900'000), "again", true)) touched.insert(portion);
          }
          break;
        default: {
          const auto [meal, portion] = shift.meal(keepers.animal, keepers.food, static_cast<std::uint32_t>(random.below(1440)), 1'000'000);
          touched.insert(meal);
          touched.insert(portion);
          portions.push_back(portion);
        }
      }
    }
    keepers.facility.exchange_all();
    std::set<RecordId> heard;
    for (const auto& [id, record] : screen.pull(1 + static_cast<std::uint32_t>(random.below(50)))) heard.insert(id);
    // Nothing else was written but by the hub, about devices: none here.
    CHECK(heard == touched);
  }
}

TEST_CASE("the device's view of the hub and the hub's vector share a mark until the hub holds more",
          "[changed]") {
  TwoKeepers keepers;
  keepers.facility.exchange_all();
  const auto mark_asked = [&] {
    proto::NewsRequest request;
    REQUIRE(request.ParseFromString(must(news_request(keepers.north.replica->store()))));
    return request.mark();
  };
  const auto mark_there = [&] { return mark_of(vector_of(keepers.facility.hub().replica->store())); };
  CHECK(mark_asked() == mark_there());
  keepers.on_south.meal(keepers.animal, keepers.food, 480, 1'000'000);
  must(keepers.facility.exchange(keepers.south));
  CHECK(mark_asked() != mark_there());
  must(keepers.facility.exchange(keepers.north));
  CHECK(mark_asked() == mark_there());
}
