// dosing/body_mass_age.h: the limit itself passes, a day more does not.
#include "dosing/body_mass_age.h"

#include <catch2/catch.hpp>

using namespace wrackline;

TEST_CASE("a body mass is recent up to the limit and too old the day after", "[dosing]") {
  CHECK(body_mass_age(20'000, 20'000, 30).verdict == BodyMassVerdict::kRecent);
  CHECK(body_mass_age(20'000, 20'000, 30).age_days == 0);
  CHECK(body_mass_age(20'000, 20'030, 30).verdict == BodyMassVerdict::kRecent);
  CHECK(body_mass_age(20'000, 20'030, 30).age_days == 30);
  CHECK(body_mass_age(20'000, 20'031, 30).verdict == BodyMassVerdict::kTooOld);
  CHECK(body_mass_age(20'000, 20'031, 30).age_days == 31);
  CHECK(body_mass_age(20'000, 20'000, 0).verdict == BodyMassVerdict::kRecent);
  CHECK(body_mass_age(20'000, 20'001, 0).verdict == BodyMassVerdict::kTooOld);
}

TEST_CASE("a body mass from after the day it is used on is said, not taken", "[dosing]") {
  CHECK(body_mass_age(20'001, 20'000, 30).verdict == BodyMassVerdict::kTakenLater);
  CHECK(body_mass_age(20'001, 20'000, 30).age_days == -1);
}

TEST_CASE("the ages of any two days are told apart", "[dosing]") {
  constexpr Day kFirst = std::numeric_limits<Day>::min(), kLast = std::numeric_limits<Day>::max();
  CHECK(body_mass_age(kFirst, kLast, 30).age_days == 4'294'967'295);
  CHECK(body_mass_age(kFirst, kLast, 4'294'967'295u).verdict == BodyMassVerdict::kRecent);
  CHECK(body_mass_age(kFirst, kLast, 4'294'967'294u).verdict == BodyMassVerdict::kTooOld);
  CHECK(body_mass_age(kLast, kFirst, 30).verdict == BodyMassVerdict::kTakenLater);
}
