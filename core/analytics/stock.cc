#include "analytics/stock.h"

#include <algorithm>
#include <limits>
#include <tuple>

#include "analytics/plan_in_force.h"
#include "base/iso_week.h"
#include "base/rounding.h"

namespace wrackline {
namespace {

template <typename T>
T at_most(Int128 number) {
  if (const auto fits = fit<T>(number)) return *fits;
  return number < 0 ? std::numeric_limits<T>::min() : std::numeric_limits<T>::max();
}

// One food's store while the days go by.
class Holding {
 public:
  // `lots` in the order of use, none past its use-by day.
  void put(std::optional<Day> use_by_day, std::int64_t on_hand_mg) {
    if (on_hand_mg > 0) {
      lots_.push_back({use_by_day, on_hand_mg});
    } else {
      overdrawn_mg_ -= on_hand_mg;
    }
  }
  // Lots below 0 say how much is gone from others.
  void settle(Day day) { (void)take(day, overdrawn_mg_); }
  // Returns what is missing.
  Int128 take(Day day, Int128 wanted_mg) {
    for (; next_ < lots_.size() && wanted_mg > 0; ++next_) {
      Lot& lot = lots_[next_];
      if (lot.use_by_day && *lot.use_by_day < day) continue;
      const Int128 taken_mg = std::min(wanted_mg, lot.left_mg);
      lot.left_mg -= taken_mg;
      wanted_mg -= taken_mg;
      if (lot.left_mg > 0) break;
    }
    return wanted_mg;
  }

 private:
  struct Lot {
    std::optional<Day> use_by_day;
    Int128 left_mg;
  };
  std::vector<Lot> lots_;
  std::size_t next_ = 0;  // The lots before it are empty, or past.
  Int128 overdrawn_mg_ = 0;
};

struct Need {
  Int128 mass_mg = 0;
  bool incomplete = false;
};

// Sums what the plans ask for on one day, food by food.
std::vector<Need> need_of(const StockInput& input, Day day) {
  std::vector<Need> out(input.food_count);
  for (const std::vector<StockPlan>& plans : input.diets) {
    const StockPlan* plan = plan_in_force(plans, day);
    if (plan == nullptr) continue;
    for (const StockPlanLine& line : plan->lines) {
      if (line.food >= out.size() || !is_on_weekday(day, line.weekdays)) continue;
      if (line.mass_mg) {
        out[line.food].mass_mg += *line.mass_mg;
      } else {
        out[line.food].incomplete = true;
      }
    }
  }
  return out;
}

}  // namespace

bool is_used_up(std::optional<std::uint64_t> batch_mg, const BatchTaken& taken) {
  if (taken.counted_empty) return true;
  return batch_mg && Int128(std::max(taken.fed_mg, taken.used_mg)) + taken.discarded_mg >= *batch_mg;
}

std::vector<LotOnHand> lots_on_hand(const std::vector<StockLot>& lots, const std::vector<StockChange>& changes,
                                    Day day) {
  std::vector<Int128> sums(lots.size());
  for (const StockChange& change : changes) {
    if (change.lot < sums.size()) sums[change.lot] += change.change_mg;
  }
  std::vector<LotOnHand> out;
  for (std::size_t i = 0; i < lots.size(); ++i) {
    const std::optional<Day>& use_by = lots[i].use_by_day;
    if (sums[i] != 0) out.push_back({i, use_by && *use_by < day, at_most<std::int64_t>(sums[i])});
  }
  const auto order = [&](const LotOnHand& of) {
    const StockLot& lot = lots[of.lot];
    return std::tuple(of.past_use_by, !lot.use_by_day, lot.use_by_day.value_or(0), !lot.received_day,
                      lot.received_day.value_or(0), of.lot);
  };
  std::sort(out.begin(), out.end(), [&](const LotOnHand& a, const LotOnHand& b) { return order(a) < order(b); });
  return out;
}

Result<std::vector<FoodOnHand>> compute_stock(const StockInput& input) {
  if (input.horizon_days == 0 || input.horizon_days > kStockDaysMax) {
    return fail(ErrorCode::kInvalid, "computing the stock: the horizon must be 1 to 365 days; ask for another one");
  }
  std::vector<FoodOnHand> out(input.food_count);
  std::vector<Holding> stores(input.food_count);
  std::vector<Int128> on_hand_mg(input.food_count), past_mg(input.food_count), need_mg(input.food_count),
      missing_mg(input.food_count);
  for (const LotOnHand& lot : lots_on_hand(input.lots, input.changes, input.day)) {
    const StockLot& of = input.lots[lot.lot];
    if (of.food >= input.food_count) continue;
    out[of.food].lots.push_back(lot);
    (lot.past_use_by ? past_mg : on_hand_mg)[of.food] += lot.on_hand_mg;
    if (!lot.past_use_by) stores[of.food].put(of.use_by_day, lot.on_hand_mg);
  }
  for (Holding& store : stores) store.settle(input.day);

  std::vector<bool> needed(input.food_count), short_of(input.food_count);
  for (std::uint32_t n = 0; n < kStockDaysMax; ++n) {
    const std::int64_t day = std::int64_t{input.day} + n;
    if (day > std::numeric_limits<Day>::max()) break;
    const std::vector<Need> needs = need_of(input, static_cast<Day>(day));
    const bool in_horizon = n < input.horizon_days;
    for (std::size_t food = 0; food < input.food_count; ++food) {
      const Need& need = needs[food];
      if (!in_horizon && short_of[food]) continue;
      out[food].need_incomplete = out[food].need_incomplete || need.incomplete;
      needed[food] = needed[food] || need.mass_mg > 0;
      const Int128 short_mg = stores[food].take(static_cast<Day>(day), need.mass_mg);
      short_of[food] = short_of[food] || short_mg > 0;
      if (!short_of[food]) out[food].lasts_days = n + 1;
      if (!in_horizon) continue;
      need_mg[food] += need.mass_mg;
      missing_mg[food] += short_mg;
    }
  }
  for (std::size_t food = 0; food < input.food_count; ++food) {
    FoodOnHand& figures = out[food];
    figures.on_hand_mg = at_most<std::int64_t>(on_hand_mg[food]);
    figures.past_use_by_mg = at_most<std::int64_t>(past_mg[food]);
    figures.need_mg = at_most<std::uint64_t>(need_mg[food]);
    figures.order_mg = at_most<std::uint64_t>(missing_mg[food]);
    if (!needed[food]) {
      figures.lasts_days.reset();
    } else if (!figures.lasts_days) {
      figures.lasts_days = 0;
    }
  }
  return out;
}

}  // namespace wrackline
