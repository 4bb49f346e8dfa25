// analytics/stock.h: movements add up, what expires first goes first, and days are covered or not.
#include "analytics/stock.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <limits>

#include "base/iso_week.h"
#include "support/random.h"

using namespace wrackline;

namespace {

constexpr Day kMonday = 20'717;  // A check below holds it to that.
constexpr std::int64_t kKg = 1'000'000;

StockInput one_food() {
  StockInput input;
  input.day = kMonday;
  input.food_count = 1;
  return input;
}

void put_lot(StockInput& input, std::optional<Day> use_by, std::int64_t mg, std::size_t food = 0) {
  input.lots.push_back({food, use_by, std::nullopt});
  input.changes.push_back({input.lots.size() - 1, mg});
}

StockPlan every_day(std::uint64_t mg, std::uint32_t weekdays = 0) {
  return {kMonday - 100, std::nullopt, {{0, weekdays, mg}}};
}

FoodOnHand figures_of(const StockInput& input) {
  const auto out = compute_stock(input);
  REQUIRE(out);
  REQUIRE(out->size() == input.food_count);
  return out->front();
}

std::vector<std::size_t> order_of(const std::vector<LotOnHand>& lots) {
  std::vector<std::size_t> out;
  for (const LotOnHand& lot : lots) out.push_back(lot.lot);
  return out;
}

}  // namespace

TEST_CASE("what is on hand is the sum of movements, whoever wrote them", "[stock]") {
  REQUIRE(iso_weekday(kMonday) == 1);
  StockInput input = one_food();
  put_lot(input, std::nullopt, 20 * kKg);
  input.changes.push_back({0, -3 * kKg});                // one tablet
  input.changes.push_back({0, -4 * kKg});                // another, out of its reach
  input.changes.push_back({7, 100 * kKg});               // of a lot that is not here
  const FoodOnHand figures = figures_of(input);
  CHECK(figures.on_hand_mg == 13 * kKg);
  REQUIRE(figures.lots.size() == 1);
  CHECK(figures.lots[0].on_hand_mg == 13 * kKg);
  CHECK(figures.past_use_by_mg == 0);
  CHECK_FALSE(figures.lasts_days);  // Nobody needs it.
  CHECK(figures.order_mg == 0);
}

TEST_CASE("the first to expire goes first, those without a day next, those past it last", "[stock]") {
  const std::vector<StockLot> lots = {
      {0, std::nullopt, kMonday},     {0, kMonday - 1, std::nullopt}, {0, kMonday + 5, kMonday - 2},
      {0, kMonday, std::nullopt},     {0, kMonday + 5, kMonday - 9},  {0, kMonday + 5, std::nullopt},
      {0, std::nullopt, kMonday - 1}, {0, kMonday + 1, std::nullopt},
  };
  std::vector<StockChange> changes;
  for (std::size_t i = 0; i < lots.size(); ++i) changes.push_back({i, i == 7 ? 0 : 1});
  const std::vector<LotOnHand> out = lots_on_hand(lots, changes, kMonday);
  // Lot 3 is in its last day and still good; lot 7 is empty; lot 1 is past.
  CHECK(order_of(out) == std::vector<std::size_t>{3, 4, 2, 5, 6, 0, 1});
  CHECK(std::count_if(out.begin(), out.end(), [](const LotOnHand& lot) { return lot.past_use_by; }) == 1);
  CHECK(out.back().past_use_by);
}

TEST_CASE("a lot past its use-by day is no stock", "[stock]") {
  StockInput input = one_food();
  put_lot(input, kMonday - 1, 9 * kKg);
  put_lot(input, kMonday, 2 * kKg);
  input.diets = {{every_day(kKg)}};
  input.horizon_days = 7;
  const FoodOnHand figures = figures_of(input);
  CHECK(figures.on_hand_mg == 2 * kKg);
  CHECK(figures.past_use_by_mg == 9 * kKg);
  // Its last day is today, so the second kilogram is of no use tomorrow.
  CHECK(figures.lasts_days == 1);
  CHECK(figures.need_mg == 7 * kKg);
  CHECK(figures.order_mg == 6 * kKg);
}

TEST_CASE("need follows the plan in force and its weekdays", "[stock]") {
  StockInput input = one_food();
  put_lot(input, std::nullopt, 10 * kKg);
  input.horizon_days = 14;
  SECTION("Monday and Thursday only") {
    input.diets = {{every_day(3 * kKg, 1 | 8)}};
    const FoodOnHand figures = figures_of(input);
    CHECK(figures.need_mg == 12 * kKg);
    // Monday 3, Thursday 6, Monday 9; on the second Thursday, day 11 of the count, one is left of three.
    CHECK(figures.lasts_days == 10);
    CHECK(figures.order_mg == 2 * kKg);
  }
  SECTION("a plan with a last day stands in for the open one") {
    StockPlan feast{kMonday + 2, kMonday + 3, {{0, 0, 4 * kKg}}};
    input.diets = {{every_day(kKg), feast}};
    const FoodOnHand figures = figures_of(input);
    CHECK(figures.need_mg == 12 * kKg + 8 * kKg);
    CHECK(figures.lasts_days == 4);
  }
  SECTION("animals add up; one without a plan asks for nothing") {
    input.diets = {{every_day(2 * kKg)}, {}, {every_day(3 * kKg)}};
    CHECK(figures_of(input).lasts_days == 2);
    CHECK(figures_of(input).order_mg == 60 * kKg);
  }
  SECTION("a plan that begins later is met when it comes") {
    input.diets = {{{kMonday + 30, std::nullopt, {{0, 0, 5 * kKg}}}}};
    CHECK(figures_of(input).need_mg == 0);
    CHECK(figures_of(input).order_mg == 0);
    CHECK(figures_of(input).lasts_days == 32);
  }
  SECTION("a line without a mass is known to be missing") {
    input.diets = {{every_day(kKg), {kMonday - 1, std::nullopt, {{0, 0, kKg}, {0, 0, std::nullopt}}}}};
    CHECK(figures_of(input).need_mg == 14 * kKg);
    CHECK(figures_of(input).need_incomplete);
    CHECK(figures_of(input).lasts_days == 10);
  }
  SECTION("what outlasts a year is said to last a year") {
    input.diets = {{every_day(1)}};
    CHECK(figures_of(input).lasts_days == kStockDaysMax);
  }
}

TEST_CASE("a lot below 0 is shown and counts against the others", "[stock]") {
  StockInput input = one_food();
  put_lot(input, std::nullopt, 5 * kKg);
  put_lot(input, kMonday + 9, -2 * kKg);
  input.diets = {{every_day(kKg)}};
  const FoodOnHand figures = figures_of(input);
  CHECK(figures.on_hand_mg == 3 * kKg);
  CHECK(figures.lasts_days == 3);
  REQUIRE(figures.lots.size() == 2);
  CHECK(figures.lots[0].on_hand_mg == -2 * kKg);
}

TEST_CASE("nothing on hand lasts no day, and all of it is to be ordered", "[stock]") {
  StockInput input = one_food();
  input.diets = {{every_day(kKg)}};
  input.horizon_days = 3;
  CHECK(figures_of(input).lasts_days == 0);
  CHECK(figures_of(input).order_mg == 3 * kKg);
}

TEST_CASE("a horizon of no day or over a year is refused, and absurd masses are not", "[stock]") {
  StockInput input = one_food();
  input.horizon_days = 0;
  CHECK_FALSE(compute_stock(input));
  input.horizon_days = 366;
  CHECK_FALSE(compute_stock(input));
  input.horizon_days = 365;
  put_lot(input, std::nullopt, std::numeric_limits<std::int64_t>::max());
  input.changes.push_back({0, std::numeric_limits<std::int64_t>::max()});
  put_lot(input, kMonday - 1, std::numeric_limits<std::int64_t>::min());
  input.changes.push_back({1, std::numeric_limits<std::int64_t>::min()});
  input.diets = {{every_day(std::numeric_limits<std::uint64_t>::max())}};
  const FoodOnHand figures = figures_of(input);
  CHECK(figures.on_hand_mg == std::numeric_limits<std::int64_t>::max());
  CHECK(figures.past_use_by_mg == std::numeric_limits<std::int64_t>::min());
  CHECK(figures.need_mg == std::numeric_limits<std::uint64_t>::max());
  CHECK(figures.lasts_days == 0);
  input.day = std::numeric_limits<Day>::max();
  CHECK(compute_stock(input));
}

// Every milligram is a grain of its own here, eaten one by one: slow, and too simple to share a fault.
TEST_CASE("any store agrees with one that is counted grain by grain, in any order of movements", "[stock]") {
  Random random = test_random("stock");
  for (int round = 0; round < 300; ++round) {
    CAPTURE(round);
    StockInput input = one_food();
    input.horizon_days = static_cast<std::uint32_t>(1 + random.below(10));
    std::vector<std::int64_t> grains;  // Last day of each.
    for (std::uint64_t n = random.below(5); n > 0; --n) {
      const Day last = kMonday - 2 + static_cast<Day>(random.below(9));
      const bool dated = !random.once_in(4);
      const std::int64_t mg = static_cast<std::int64_t>(random.below(8));
      put_lot(input, dated ? std::optional(last) : std::nullopt, mg + 3);
      input.changes.push_back({input.lots.size() - 1, -3});
      if (dated && last < kMonday) continue;
      grains.insert(grains.end(), static_cast<std::size_t>(mg), dated ? last : std::numeric_limits<std::int64_t>::max());
    }
    const std::uint64_t a = random.below(4), b = random.below(3);
    const auto weekdays = static_cast<std::uint32_t>(random.below(128));
    input.diets = {{every_day(a)}, {every_day(b, weekdays)}};
    random.shuffle(input.changes);
    const FoodOnHand figures = figures_of(input);

    CHECK(figures.on_hand_mg == static_cast<std::int64_t>(grains.size()));
    std::uint64_t need = 0, missing = 0;
    std::optional<std::uint32_t> lasts;
    bool any = false;
    for (std::uint32_t n = 0; n < kStockDaysMax; ++n) {
      const Day day = kMonday + static_cast<Day>(n);
      const std::uint64_t wanted = a + (is_on_weekday(day, weekdays) ? b : 0);
      any = any || wanted > 0;
      for (std::uint64_t grain = 0; grain < wanted; ++grain) {
        grains.erase(std::remove_if(grains.begin(), grains.end(), [&](std::int64_t last) { return last < day; }),
                     grains.end());
        const auto first = std::min_element(grains.begin(), grains.end());
        if (first != grains.end()) {
          grains.erase(first);
        } else {
          if (!lasts) lasts = n;
          if (n < input.horizon_days) ++missing;
        }
      }
      if (n < input.horizon_days) need += wanted;
    }
    CHECK(figures.need_mg == need);
    CHECK(figures.order_mg == missing);
    CHECK(figures.lasts_days == (any ? std::optional(lasts.value_or(kStockDaysMax)) : std::nullopt));
  }
}

TEST_CASE("a batch is used up by what was fed or booked, whichever is more, and what was thrown away", "[analytics]") {
  BatchTaken taken;
  CHECK_FALSE(is_used_up(1'000, taken));
  taken.fed_mg = 600;
  taken.used_mg = 700;
  CHECK_FALSE(is_used_up(1'000, taken));
  taken.discarded_mg = 299;
  CHECK_FALSE(is_used_up(1'000, taken));
  taken.discarded_mg = 300;
  CHECK(is_used_up(1'000, taken));
  CHECK_FALSE(is_used_up(std::nullopt, taken));
  taken.counted_empty = true;
  CHECK(is_used_up(std::nullopt, taken));
  const std::uint64_t most = std::numeric_limits<std::uint64_t>::max();
  CHECK(is_used_up(most, {most, 0, most, false}));
}
