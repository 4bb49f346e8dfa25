// analytics/growth.h, body_mass.h, body_condition.h and allometry.h: what is refused, and what stands between
// weighings.
#include <catch2/catch.hpp>
#include <limits>
#include <set>

#include "analytics/allometry.h"
#include "analytics/body_condition.h"
#include "analytics/body_mass.h"
#include "analytics/growth.h"
#include "support/random.h"

using namespace wrackline;

TEST_CASE("growth needs two masses and days between them", "[analytics]") {
  CHECK_FALSE(percent_change(0, 5));
  CHECK_FALSE(specific_growth_rate(0, 5, 10));
  CHECK_FALSE(specific_growth_rate(5, 0, 10));
  CHECK_FALSE(specific_growth_rate(5, 6, 0));
  CHECK_FALSE(absolute_growth_rate(5, 6, 0));
  CHECK_FALSE(growth_between({10, 500}, {10, 600}));
  CHECK_FALSE(growth_between({10, 500}, {9, 600}));
  CHECK_FALSE(growth_between({10, 0}, {20, 600}));
  CHECK_FALSE(growth_between({10, 500}, {20, 0}));
}

TEST_CASE("growth counts calendar days, over the whole range of them", "[analytics]") {
  const Growth growth = *growth_between({-3, 1'000'000}, {4, 1'070'000});
  CHECK(growth.days == 7);
  CHECK(growth.change_ppm == 70'000);
  CHECK(growth.change_mg_per_day == 10'000);
  const Growth widest =
      *growth_between({std::numeric_limits<Day>::min(), 1}, {std::numeric_limits<Day>::max(), 2});
  CHECK(widest.days == 4294967295);
}

TEST_CASE("a growth figure that does not fit is not said", "[analytics]") {
  const Growth growth = *growth_between({0, 1}, {1, std::numeric_limits<std::uint64_t>::max()});
  CHECK_FALSE(growth.change_ppm);
  CHECK_FALSE(growth.change_mg_per_day);
  CHECK(growth.sgr_ppb_per_day);
}

TEST_CASE("the body mass of a day is weighed, between, carried, or not known", "[analytics]") {
  const std::vector<BodyMass> weighings = {{110, 13'000}, {100, 12'000}};
  CHECK_FALSE(body_mass_on(99, weighings));
  CHECK(body_mass_on(100, weighings)->mass_mg == 12'000);
  CHECK(body_mass_on(100, weighings)->basis == BodyMassBasis::kWeighed);
  CHECK(body_mass_on(100, weighings)->age_days == 0);
  CHECK(body_mass_on(103, weighings)->mass_mg == 12'300);
  CHECK(body_mass_on(103, weighings)->basis == BodyMassBasis::kBetween);
  CHECK(body_mass_on(103, weighings)->age_days == 3);
  CHECK(body_mass_on(110, weighings)->basis == BodyMassBasis::kWeighed);
  CHECK(body_mass_on(140, weighings)->mass_mg == 13'000);
  CHECK(body_mass_on(140, weighings)->basis == BodyMassBasis::kCarried);
  CHECK(body_mass_on(140, weighings)->age_days == 30);
  CHECK_FALSE(body_mass_on(140, {}));
}

TEST_CASE("between weighings a falling mass falls, rounded to the milligram", "[analytics]") {
  const std::vector<BodyMass> weighings = {{0, 100}, {3, 99}};
  CHECK(body_mass_on(1, weighings)->mass_mg == 100);
  CHECK(body_mass_on(2, weighings)->mass_mg == 99);
  constexpr std::uint64_t kHuge = std::numeric_limits<std::uint64_t>::max();
  CHECK(body_mass_on(0, {{-1, kHuge}, {1, 1}})->mass_mg == kHuge / 2 + 1);
}

TEST_CASE("the later in the list of two masses of one day counts, and 0 is none", "[analytics]") {
  const std::vector<BodyMass> weighings = {{10, 500}, {10, 510}, {12, 0}, {20, 610}, {20, 600}};
  CHECK(body_mass_on(10, weighings)->mass_mg == 510);
  CHECK(body_mass_on(12, weighings)->basis == BodyMassBasis::kBetween);
  CHECK(body_mass_on(15, weighings)->mass_mg == 555);
  CHECK_FALSE(body_mass_on(15, {{10, 0}}));
}

TEST_CASE("the order of weighings of different days does not matter", "[analytics]") {
  Random random = test_random("weighings");
  for (int round = 0; round < 30; ++round) {
    std::vector<BodyMass> weighings;
    for (Day day = 0; day < 40; day += static_cast<Day>(1 + random.below(6))) {
      weighings.push_back({day, 1000 + random.below(500)});
    }
    std::vector<BodyMass> shuffled = weighings;
    random.shuffle(shuffled);
    for (Day day = 0; day < 50; ++day) {
      CHECK(body_mass_on(day, shuffled)->mass_mg == body_mass_on(day, weighings)->mass_mg);
      CHECK(body_mass_on(day, shuffled)->age_days == body_mass_on(day, weighings)->age_days);
    }
  }
}

TEST_CASE("a curved length is refused, not converted", "[analytics]") {
  const BodyLength straight = {LengthKind::kStraight, 500'000};
  const BodyLength curved = {LengthKind::kCurved, 500'000};
  CHECK(body_condition_index(15'000'000, straight));
  CHECK(fulton_k(15'000'000, straight));
  CHECK(body_condition_index(15'000'000, curved).error().code == ErrorCode::kInvalid);
  CHECK(fulton_k(15'000'000, curved).error().code == ErrorCode::kInvalid);
  CHECK(body_condition_index(15'000'000, curved).error().message.find("curved") != std::string::npos);
}

TEST_CASE("condition needs a mass and a length", "[analytics]") {
  CHECK(body_condition_index(0, {LengthKind::kStraight, 500'000}).error().code == ErrorCode::kInvalid);
  CHECK(body_condition_index(5, {LengthKind::kStraight, 0}).error().code == ErrorCode::kInvalid);
  CHECK(fulton_k(0, {LengthKind::kStraight, 0}).error().code == ErrorCode::kInvalid);
}

TEST_CASE("every regression names its bodies, its source, its count and its fit", "[analytics]") {
  std::set<std::string_view> ids;
  for (const AllometryRow& row : allometry_rows()) {
    CHECK(ids.insert(row.id).second);
    CHECK_FALSE(row.of.empty());
    CHECK_FALSE(row.source.empty());
    CHECK(row.bodies.value_or(0) > 0);
    CHECK(row.r2.value_or(0) > 0);
    CHECK(row.from.find(", cm") != std::string_view::npos);
    CHECK(row.to != row.from);
  }
  CHECK(ids.size() == 5);
}

TEST_CASE("two ways from a costal width to a carapace width come out alike", "[analytics]") {
  // The five rows are of the same animals: width straight from the costal, and by way of the length.
  const auto row = [](std::string_view id) -> const AllometryRow& {
    for (const AllometryRow& candidate : allometry_rows()) {
      if (candidate.id == id) return candidate;
    }
    FAIL("no such row");
    return allometry_rows().front();
  };
  for (double costal_cm : {8.0, 12.0, 16.0}) {
    const double length_cm = *estimate(row("hawksbill-cuba-costal-length"), costal_cm);
    const double width_cm = *estimate(row("hawksbill-cuba-costal-width"), costal_cm);
    CHECK(*estimate(row("hawksbill-cuba-length-width"), length_cm) == Approx(width_cm).epsilon(0.1));
    const double mass_kg = *estimate(row("hawksbill-cuba-costal-mass"), costal_cm);
    CHECK(*estimate(row("hawksbill-cuba-length-mass"), length_cm) == Approx(mass_kg).epsilon(0.3));
  }
}

TEST_CASE("nothing is estimated outside what a regression was made from", "[analytics]") {
  AllometryRow row = allometry_rows().front();
  CHECK(estimate(row, 1000));  // Its source's range is not known, so it is not checked.
  CHECK(estimate(row, 0).error().code == ErrorCode::kInvalid);
  CHECK(estimate(row, -3).error().code == ErrorCode::kInvalid);
  CHECK(estimate(row, std::numeric_limits<double>::quiet_NaN()).error().code == ErrorCode::kInvalid);
  row.x_min = 20;
  row.x_max = 90;
  CHECK(estimate(row, 20));
  CHECK(estimate(row, 90));
  CHECK(estimate(row, 19.9).error().code == ErrorCode::kInvalid);
  CHECK(estimate(row, 90.1).error().code == ErrorCode::kInvalid);
}
