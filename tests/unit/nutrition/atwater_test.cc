// Energy from composition: missing parts, fibre, and parts that do not add up. Values are in tests/reference.
#include "nutrition/atwater.h"

#include <catch2/catch.hpp>
#include <set>
#include <string>

#include "nutrition/foods_sr28.h"

using namespace wrackline;

namespace {

// Water, protein, fat, carbohydrate, ash, fibre.
Proximates leaf() { return {900'000, 20'000, 5'000, 65'000, 10'000, 20'000}; }

}  // namespace

TEST_CASE("general factors count carbohydrate with its fibre, modified ones without", "[nutrition]") {
  const std::optional<AtwaterEnergy> general = atwater_energy(leaf(), kAtwaterGeneral);
  REQUIRE(general);
  CHECK(general->energy_cal_per_kg == 385'000);  // 20 * 4000 + 5 * 9000 + 65 * 4000
  CHECK(general->energy_cal_per_g == 385);
  CHECK(general->factors.kind == AtwaterKind::kGeneral);
  const std::optional<AtwaterEnergy> modified = atwater_energy(leaf(), kAtwaterModified);
  REQUIRE(modified);
  CHECK(modified->energy_cal_per_kg == 270'000);  // 20 * 3500 + 5 * 8500 + 45 * 3500
}

TEST_CASE("fibre that is not known leaves the modified energy unknown, and is not zero", "[nutrition]") {
  Proximates food = leaf();
  food.fibre_ppm.reset();
  CHECK(atwater_energy(food, kAtwaterGeneral));
  CHECK_FALSE(atwater_energy(food, kAtwaterModified));
  food.fibre_ppm = 0;
  CHECK(atwater_energy(food, kAtwaterModified)->energy_cal_per_kg == 340'000);
  food.fibre_ppm = 65'001;
  CHECK_FALSE(atwater_energy(food, kAtwaterModified));
}

TEST_CASE("without protein, fat or carbohydrate there is no energy", "[nutrition]") {
  for (std::optional<std::uint32_t> Proximates::*part :
       {&Proximates::protein_ppm, &Proximates::fat_ppm, &Proximates::carbohydrate_ppm}) {
    Proximates food = leaf();
    food.*part = std::nullopt;
    CHECK_FALSE(atwater_energy(food, kAtwaterGeneral));
    food.*part = 1'000'001;  // More than the whole food.
    CHECK_FALSE(atwater_energy(food, kAtwaterGeneral));
  }
  Proximates food = leaf();
  food.water_ppm.reset();
  food.ash_ppm.reset();
  CHECK(atwater_energy(food, kAtwaterGeneral));
}

TEST_CASE("parts add up from 99 to 101 in a hundred", "[nutrition]") {
  Proximates food = leaf();
  CHECK(sum_proximates(food).sum_ppm == 1'000'000u);
  for (const auto& [water_ppm, adds_up] : {std::pair(890'000u, true), std::pair(889'999u, false),
                                           std::pair(910'000u, true), std::pair(910'001u, false)}) {
    food.water_ppm = water_ppm;
    CAPTURE(water_ppm);
    CHECK(sum_proximates(food).adds_up == adds_up);
    CHECK(sum_proximates(food).sum_ppm == water_ppm + 100'000u);
  }
  food.ash_ppm.reset();
  CHECK_FALSE(sum_proximates(food).sum_ppm);
  CHECK_FALSE(sum_proximates(food).adds_up);
}

TEST_CASE("every food of the table has its own name and number, and no fraction above the whole",
          "[nutrition]") {
  std::set<std::string> names;
  std::set<std::uint32_t> numbers;
  for (const TableFood& food : kFoodsSr28) {
    CAPTURE(food.name);
    CHECK(names.insert(food.name).second);
    CHECK(numbers.insert(food.ndb_number).second);
    CHECK(food.energy_cal_per_g > 0);
    CHECK(food.proximates.water_ppm.value_or(0) > 0);
    CHECK(food.proximates.water_ppm.value_or(0) < 1'000'000);
    CHECK(food.proximates.fibre_ppm.value_or(0) <= food.proximates.carbohydrate_ppm.value_or(0));
  }
  CHECK(std::string(kSr28Source).find("release 28") != std::string::npos);
}
