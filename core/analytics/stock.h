// This file says what food is on hand, how long it lasts, and what is to be ordered.
//
// Pure and whole-numbered. What is on hand is the sum of movements, so what two tablets wrote down apart adds up and
// nothing is overwritten; in which order the movements come, or of which day they are, makes no difference.
//
// A lot may come out below 0, when more was taken from it than was ever booked in. It is shown, since it tells that
// the book is wrong, and it counts against the food's other lots, since the food is gone from one of them.
//
// A sum too large for 64 bits is said as the largest that fits: only a slip of units gets there, and it must not
// hide the other foods.
#pragma once

#include <cstdint>
#include <optional>
#include <vector>

#include "base/ids.h"
#include "base/result.h"

namespace wrackline {

struct StockLot {
  std::size_t food = 0;  // Index of a food, below StockInput::food_count.
  std::optional<Day> use_by_day;  // The last day, included; absent = it has none.
  std::optional<Day> received_day;
};

struct StockChange {
  std::size_t lot = 0;  // Index into the lots.
  std::int64_t change_mg = 0;
};

struct LotOnHand {
  std::size_t lot = 0;
  bool past_use_by = false;
  std::int64_t on_hand_mg = 0;
};

// Lots that hold something, or less than nothing, in the order in which to use them: the first to expire first; then
// those without a use-by day, which nobody can say to be old or fresh; last those past it, which are not to be used.
// Equal ones by the day they were received (unknown last), then as they were handed in.
std::vector<LotOnHand> lots_on_hand(const std::vector<StockLot>& lots, const std::vector<StockChange>& changes, Day day);

// Records say what became of a batch that was taken out to thaw.
struct BatchTaken {
  std::uint64_t fed_mg = 0;        // The mass in the portions that name it.
  std::uint64_t used_mg = 0;       // The masses in the movements that name it: used,
  std::uint64_t discarded_mg = 0;  // and discarded.
  bool counted_empty = false;      // A count of it found nothing.
};

// Whether nothing is left of it, so that it is not a forgotten one. What was fed and what was booked as used tell of the
// same food, so the larger of the two counts and never their sum. A batch of unknown mass is used up by a count alone.
bool is_used_up(std::optional<std::uint64_t> batch_mg, const BatchTaken& taken);

struct StockPlanLine {
  std::size_t food = 0;
  std::uint32_t weekdays = 0;  // Bits 0..6 = Monday..Sunday; 0 = every day.
  std::optional<std::uint64_t> mass_mg;  // The mass of all heads together.
};

struct StockPlan {
  Day first_day = 0;
  std::optional<Day> last_day;
  std::vector<StockPlanLine> lines;
};

struct StockInput {
  Day day = 0;
  std::uint32_t horizon_days = 14;
  std::size_t food_count = 0;
  std::vector<StockLot> lots;
  std::vector<StockChange> changes;
  // The plans of each animal, in the order that plan_in_force asks for. Head counts are in their masses already.
  std::vector<std::vector<StockPlan>> diets;
};

struct FoodOnHand {
  std::int64_t on_hand_mg = 0;  // Without lots past their use-by day.
  std::int64_t past_use_by_mg = 0;
  std::uint64_t need_mg = 0;    // From the day on, that day whole, over the horizon.
  bool need_incomplete = false;  // On one of the days looked at, a line has no mass: the true need is larger.
  // Whole days, from the day on, that the plans can be met: each day takes from the lots in the order above, and a
  // lot helps up to its use-by day. At most kStockDaysMax; absent when no plan asks for the food in that time.
  std::optional<std::uint32_t> lasts_days;
  // The mass that cannot be met within the horizon; food that expires before its turn is no help.
  std::uint64_t order_mg = 0;
  std::vector<LotOnHand> lots;
};

inline constexpr std::uint32_t kStockDaysMax = 365;

// One for each food. Errors: kInvalid when the horizon is no day or longer than kStockDaysMax.
Result<std::vector<FoodOnHand>> compute_stock(const StockInput& input);

}  // namespace wrackline
