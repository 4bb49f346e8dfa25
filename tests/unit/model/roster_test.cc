// The rules of facility, person, device, area, pool, animal and food (model/rules_roster.cc), and of what says its area
// (model/rules_place.cc).
#include <catch2/catch.hpp>

#include "records.pb.h"
#include "support/rule_slips.h"

using namespace wrackline;

namespace {

proto::Animal sound_animal() {
  proto::Animal animal;
  animal.set_name("Barnacle");
  set_ref(animal.mutable_pool(), 1, 2);
  animal.set_head_count(12);
  return animal;
}

proto::Food sound_food() {
  proto::Food food;
  food.set_name("Herring, Atlantic");
  food.set_energy_cal_per_g(1580);
  food.set_water_ppm(720500);
  return food;
}

}  // namespace

TEST_CASE("a facility has a name and a time zone", "[model]") {
  proto::Facility facility;
  facility.set_name("Rescue at the point");
  facility.set_time_zone("Europe/Oslo");
  CHECK(judge(Kind::kFacility, facility).empty());
  facility.set_name("  ");
  CHECK(only_problem(Kind::kFacility, facility, "no name"));
  facility.set_name("x");
  facility.clear_time_zone();
  CHECK(only_problem(Kind::kFacility, facility, "time zone"));
}

TEST_CASE("a person has a name, and roles that are set", "[model]") {
  proto::Person person;
  person.set_name("Ada");
  CHECK(judge(Kind::kPerson, person).empty());
  person.add_roles(proto::ROLE_KEEPER);
  person.add_roles(static_cast<proto::Role>(77));  // A role of a newer release.
  CHECK(judge(Kind::kPerson, person).empty());
  person.add_roles(proto::ROLE_UNSPECIFIED);
  CHECK(only_problem(Kind::kPerson, person, "role"));
  person.clear_roles();
  person.set_name("\t\n");
  CHECK(only_problem(Kind::kPerson, person, "no name"));
}

TEST_CASE("a device has a name and a key of 32 bytes", "[model]") {
  proto::Device device;
  device.set_name("pool tablet");
  device.set_public_key(std::string(32, '\0'));
  CHECK(judge(Kind::kDevice, device).empty());
  device.set_public_key(std::string(31, '\0'));
  CHECK(only_problem(Kind::kDevice, device, "32 bytes"));
  device.set_public_key(std::string(32, '\0'));
  device.clear_name();
  CHECK(only_problem(Kind::kDevice, device, "no name"));
}

TEST_CASE("a pool has a name", "[model]") {
  proto::Pool pool;
  CHECK(only_problem(Kind::kPool, pool, "no name"));
  pool.set_name("Lagoon");
  CHECK(judge(Kind::kPool, pool).empty());
}

TEST_CASE("an area has a name", "[model]") {
  proto::Area area;
  area.set_note("behind the gate");
  CHECK(only_problem(Kind::kArea, area, "no name"));
  area.set_name(" ");
  CHECK(only_problem(Kind::kArea, area, "no name"));
  area.set_name("Quay");
  CHECK(judge(Kind::kArea, area).empty());
}

TEST_CASE("a pool may lie in no area, and the one it lies in is a record", "[model]") {
  proto::Pool pool;
  pool.set_name("Lagoon");
  pool.set_area("yard");  // Release 0.1 wrote it so.
  CHECK(judge(Kind::kPool, pool).empty());
  set_ref(pool.mutable_in_area(), 1, 2);
  CHECK(judge(Kind::kPool, pool).empty());
  pool.mutable_in_area()->set_seq(0);
  CHECK(only_problem(Kind::kPool, pool, "area is not a record"));
}

TEST_CASE("a hygiene check and a close say where, by an area's record or by the text of release 0.1", "[model]") {
  proto::HygieneCheck check;
  check.set_day(20'000);
  check.set_task("foot baths changed");
  check.set_passed(true);
  proto::DayClose close;
  close.set_day(20'000);
  CHECK(only_problem(Kind::kHygieneCheck, check, "names no area"));
  CHECK(only_problem(Kind::kDayClose, close, "names no area"));
  check.set_area("yard");
  close.set_area("yard");
  CHECK(judge(Kind::kHygieneCheck, check).empty());
  CHECK(judge(Kind::kDayClose, close).empty());
  // An edit of one that was written with the text gives it the record too.
  set_ref(check.mutable_in_area(), 1, 2);
  set_ref(close.mutable_in_area(), 1, 2);
  CHECK(judge(Kind::kHygieneCheck, check).empty());
  CHECK(judge(Kind::kDayClose, close).empty());
  check.clear_area();
  close.clear_area();
  CHECK(judge(Kind::kHygieneCheck, check).empty());
  CHECK(judge(Kind::kDayClose, close).empty());
  check.mutable_in_area()->set_log(0);
  close.mutable_in_area()->set_seq(0);
  CHECK(only_problem(Kind::kHygieneCheck, check, "area is not a record"));
  CHECK(only_problem(Kind::kDayClose, close, "area is not a record"));
}

TEST_CASE("an animal has a name, and may lack pool and head count", "[model]") {
  CHECK(judge(Kind::kAnimal, sound_animal()).empty());
  proto::Animal animal;
  CHECK(only_problem(Kind::kAnimal, animal, "no name"));
  animal.set_name("7");
  CHECK(judge(Kind::kAnimal, animal).empty());
}

TEST_CASE("an animal's pool, when given, is a record", "[model]") {
  proto::Animal animal = sound_animal();
  animal.mutable_pool()->set_seq(0);
  CHECK(only_problem(Kind::kAnimal, animal, "pool"));
  set_ref(animal.mutable_pool(), 0, 1);
  CHECK(only_problem(Kind::kAnimal, animal, "pool"));
  set_ref(animal.mutable_pool(), 1, kSeqMax);
  CHECK(judge(Kind::kAnimal, animal).empty());
  set_ref(animal.mutable_pool(), 1, kSeqMax + 1);
  CHECK(only_problem(Kind::kAnimal, animal, "pool"));
}

TEST_CASE("a group has at least one head and no more than there could be", "[model]") {
  proto::Animal animal = sound_animal();
  animal.set_head_count(1);
  CHECK(judge(Kind::kAnimal, animal).empty());
  animal.set_head_count(0);
  CHECK(only_problem(Kind::kAnimal, animal, "head count is 0"));
  animal.set_head_count(10'000'000);
  CHECK(judge(Kind::kAnimal, animal).empty());
  animal.set_head_count(10'000'001);
  CHECK(only_problem(Kind::kAnimal, animal, "not plausible"));
}

TEST_CASE("a food has a name, and may lack its composition", "[model]") {
  CHECK(judge(Kind::kFood, sound_food()).empty());
  proto::Food food;
  food.set_name("Capelin");
  CHECK(judge(Kind::kFood, food).empty());
  food.clear_name();
  CHECK(only_problem(Kind::kFood, food, "no name"));
}

// 9 kcal per gram of fat is Atwater's general factor; the bound lies just above it.
TEST_CASE("a food has no more energy than fat and no more water than its mass", "[model]") {
  proto::Food food = sound_food();
  food.set_energy_cal_per_g(9000);
  food.set_water_ppm(1'000'000);
  CHECK(judge(Kind::kFood, food).empty());
  food.set_energy_cal_per_g(158'000);
  CHECK(only_problem(Kind::kFood, food, "energy"));
  food = sound_food();
  food.set_water_ppm(1'000'001);
  CHECK(only_problem(Kind::kFood, food, "water"));
}
