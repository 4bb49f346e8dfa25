// Goal: a bundle carries everything, twice is once, and a damaged one is refused whole with the place. Method:
// real bundles between replicas that never meet, cut and altered at every kind of place.
#include "sync/bundle.h"

#include "support/random.h"
#include "support/shift.h"

using namespace wrackline;

namespace {

struct Carried {
  Facility facility;
  Device& tablet = facility.add_device("north tablet");
  Device& desk = facility.add_device("desk");
  Bytes bundle;

  Carried() {
    facility.exchange_all();
    Shift shift(tablet, facility.keeper());
    const RecordId animal = shift.animal("Nereid"), food = shift.food("herring");
    for (std::uint32_t i = 0; i < 10; ++i) shift.meal(animal, food, i * 60, 1'000'000);
    bundle = must(tablet.replica->export_bundle({})).bytes;
  }
};

}  // namespace

TEST_CASE("a bundle brings everything, and importing it twice changes nothing", "[sync]") {
  Carried world;
  const auto dry = must(world.desk.replica->import_bundle(world.bundle, true));
  REQUIRE(dry.new_here == 22);
  REQUIRE(state_of(world.desk) != state_of(world.tablet));
  REQUIRE(must(world.desk.replica->import_bundle(world.bundle, false)).new_here == 22);
  REQUIRE(state_of(world.desk) == state_of(world.tablet));
  REQUIRE(must(world.desk.replica->import_bundle(world.bundle, false)).new_here == 0);
  REQUIRE(state_of(world.desk) == state_of(world.tablet));
}

TEST_CASE("a bundle cut short anywhere is refused whole", "[sync]") {
  Carried world;
  const std::string before = state_of(world.desk);
  for (std::size_t size = 0; size < world.bundle.size(); size += 1 + size / 50) {
    const auto result = world.desk.replica->import_bundle(ByteView(world.bundle).substr(0, size), false);
    REQUIRE(code_of(result) == ErrorCode::kMalformed);
    REQUIRE(result.error().message.find("nothing of it was imported") != std::string::npos);
  }
  REQUIRE(state_of(world.desk) == before);
}

TEST_CASE("a bundle altered anywhere is refused whole, with the place where it can be told", "[sync]") {
  Carried world;
  Random random = test_random("altered bundle");
  const std::string before = state_of(world.desk);
  for (int round = 0; round < 400; ++round) {
    Bytes altered = world.bundle;
    altered[random.below(altered.size())] ^= static_cast<char>(1 << random.below(8));
    REQUIRE_FALSE(world.desk.replica->import_bundle(altered, false));
  }
  REQUIRE(state_of(world.desk) == before);
  const auto cut = world.desk.replica->import_bundle(ByteView(world.bundle).substr(0, 100), false);
  REQUIRE(cut.error().message.find("byte") != std::string::npos);
}

TEST_CASE("a bundle of another facility is refused whole", "[sync]") {
  Carried world;
  Facility other(55);
  Device& foreign = other.add_device("foreign desk");
  REQUIRE(code_of(foreign.replica->import_bundle(world.bundle, false)) == ErrorCode::kWrongFacility);
}
