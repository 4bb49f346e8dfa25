// Goal: a bundle carries everything, twice is once, and a damaged one is refused whole with the place. Method:
// real bundles between replicas that never meet, cut and altered at every kind of place.
#include "sync/bundle.h"

#include <exchange.pb.h>

#include "base/wire.h"
#include "crypto/sha256.h"
#include "log/change.h"
#include "model/kinds.h"
#include "replica/author.h"
#include "store/store.h"
#include "support/made_log.h"
#include "support/random.h"
#include "support/shift.h"
#include "sync/exchange.h"

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

TEST_CASE("a log of an earlier form is taken from a bundle under the hub's seal alone", "[sync]") {
  Carried world;
  const FacilityId facility = world.facility.membership("").facility;
  Bytes name;
  append_bytes_field(name, 1, "Ghost");
  Change change;
  change.stamp = Stamp::of(Facility::kStartMs, 0);
  change.kind = static_cast<std::uint32_t>(Kind::kAnimal);
  change.author = world.facility.keeper();
  change.fields = name;
  const std::vector<Bytes> changes = {write_change(change)};
  // The id of such a log can be that of anybody's; here it is one that the desk has not heard of yet.
  MadeLog claimed = made_log(facility, world.tablet.keystore->public_key(), 1, LogClass::kFormer);
  claimed.id = claimed.sealed_as = world.tablet.replica->author().log(LogClass::kRoster);
  MadeLog vouched = made_log(facility, world.tablet.keystore->public_key(), 2, LogClass::kFormer);
  const auto taken = must(world.desk.replica->import_bundle(
      made_bundle(facility, {made_segment(claimed, *world.tablet.keystore, changes), made_segment(vouched, *world.facility.hub().keystore, changes)}), false));
  REQUIRE(taken.refused.size() == 1);
  CHECK(taken.refused.front().log == claimed.id);
  CHECK(taken.refused.front().error.code == ErrorCode::kUnsupported);
  CHECK(taken.new_here == 1);
  // So the tablet's own comes in as ever.
  CHECK(must(world.desk.replica->import_bundle(world.bundle, false)).refused.empty());
  CHECK(world.desk.replica->store().logs().find(claimed.id)->head.seq == world.tablet.replica->store().logs().find(claimed.id)->head.seq);
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

// The frames of such a file are four bytes each, and a hundred in memory; its checksum is right.
TEST_CASE("a bundle that names more segments than it has room for is refused before they are read", "[sync]") {
  Carried world;
  proto::BundleHeader header;
  header.set_protocol(kProtocol);
  header.set_facility(Bytes(view(world.desk.replica->store().facility())));
  constexpr std::uint32_t kParts = 100'000;
  header.set_segments(kParts);
  Bytes bundle = "wrackbn2";
  append_le(bundle, header.ByteSizeLong(), 4);
  bundle += header.SerializeAsString() + Bytes(4 * kParts, '\0');
  bundle += view(sha256(bundle));
  const auto result = world.desk.replica->import_bundle(bundle, false);
  REQUIRE(code_of(result) == ErrorCode::kMalformed);
  CHECK_THAT(result.error().message, Catch::Contains("more than it has room for"));
}

TEST_CASE("a bundle whose logs are held already is taken, though its device has another key by now", "[sync]") {
  Carried world;
  must(world.facility.exchange(world.tablet));
  must(world.facility.exchange(world.desk));
  SeededKeystore next(7501);
  must(world.facility.hub().replica->rekey_device(world.tablet.keystore->public_key(), next.public_key()));
  must(world.tablet.replica->change_key(next));
  must(world.facility.exchange(world.desk));
  const auto bundle = must(world.desk.replica->export_bundle({}));
  const auto taken = must(world.desk.replica->import_bundle(bundle.bytes, false));
  CHECK(taken.refused.empty());
  CHECK(taken.new_here == 0);
  const auto old = must(world.desk.replica->import_bundle(world.bundle, false));
  CHECK(old.refused.empty());
  CHECK(old.new_here == 0);
  world.tablet.replica.reset();  // Before the key it was given.
}

TEST_CASE("a log of a bundle that cannot be taken in keeps none of the others out", "[sync]") {
  Carried world;
  Device& other = world.facility.add_device("south tablet");
  must(world.facility.exchange(other));
  Shift(other, world.facility.keeper()).animal("Thetis");
  must(other.replica->import_bundle(world.bundle, false));
  const auto both = must(other.replica->export_bundle({}));
  const auto device = must(world.facility.hub().replica->devices().find(world.tablet.keystore->public_key()));
  Shift(world.facility.hub(), world.facility.keeper()).strike(device.record, "lost");
  must(world.facility.exchange(world.desk));
  const auto taken = must(world.desk.replica->import_bundle(both.bytes, false));
  REQUIRE(taken.refused.size() == 2);  // Its logs of animals and of meals.
  for (const RefusedLog& refused : taken.refused) CHECK(refused.error.code == ErrorCode::kRevokedDevice);
  CHECK(taken.new_here == 1);
}

TEST_CASE("a bundle of another facility is refused whole", "[sync]") {
  Carried world;
  Facility other(55);
  Device& foreign = other.add_device("foreign desk");
  REQUIRE(code_of(foreign.replica->import_bundle(world.bundle, false)) == ErrorCode::kWrongFacility);
}
