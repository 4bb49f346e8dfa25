// This file says what was eaten, its energy and dry matter, against a public table of foods.
//
// Foods and their source are those of support/intake_day.h; the totals below were computed from them by an
// independent script.
#include <catch2/catch.hpp>

#include "support/intake_day.h"

using namespace wrackline;

// Offered 500 g, left 120 g. A control of 100 g became 112 g: 392.857 g eaten; it became 94 g: 372.340 g;
// it stayed: 380 g. Method common practice, no source; figures computed by an independent script.
TEST_CASE("a leftover is corrected for the water it took up or lost", "[reference]") {
  const IntakeDayFigures wetter = figures_of_portions({portion(kRomaine, 500'000, 120'000, 1'120'000)});
  CHECK(wetter.left_mg == 107'143u);
  CHECK(wetter.eaten_mg == 392'857);
  const IntakeDayFigures drier = figures_of_portions({portion(kRomaine, 500'000, 120'000, 940'000)});
  CHECK(drier.left_mg == 127'660u);
  CHECK(drier.eaten_mg == 372'340);
  CHECK(figures_of_portions({portion(kRomaine, 500'000, 120'000, 1'000'000)}).eaten_mg == 380'000);
  CHECK(figures_of_portions({portion(kRomaine, 500'000, 120'000)}).eaten_mg == 380'000);
}

TEST_CASE("500 g of romaine eaten is 26.95 g of dry matter, of herring 139.75 g", "[reference]") {
  CHECK(figures_of_portions({portion(kRomaine, 500'000, 0)}).dry_matter_mg == 26'950);
  CHECK(figures_of_portions({portion(kHerring, 500'000, 0)}).dry_matter_mg == 139'750);
}

TEST_CASE("a mixed day of herring, squid and romaine is 675.0 kcal and 132.14 g of dry matter",
          "[reference]") {
  const IntakeDayFigures day =
      figures_of(input_of({{kToday, {portion(kHerring, 300'000, 0), portion(kRomaine, 150'000, 50'000)}},
                           {kToday, {portion(kSquid, 200'000, 0)}}}));
  CHECK(day.meals == 2);
  CHECK(day.portions == 3);
  CHECK(day.portions_unweighed == 0);
  CHECK(day.offered_mg == 650'000u);
  CHECK(day.left_mg == 50'000u);
  CHECK(day.eaten_mg == 600'000);
  CHECK(day.energy_cal == 675'000);
  CHECK(day.dry_matter_mg == 132'140);
  CHECK(day.complete);
}
