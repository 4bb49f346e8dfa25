// This file says what is on hand, how long it lasts, and what is to be ordered.
#include <tuple>

#include "husbandry/husbandry_calls.h"
#include "husbandry/plans.h"
#include "husbandry/stock_input.h"
#include "reading/record_view.h"
#include "reading/roster.h"

namespace wrackline {
namespace {

constexpr std::uint32_t kHorizonDefaultDays = 14;

Status gather_needs(Replica& replica, Roster& roster, FoodNumbers& foods, StockInput& input) {
  WRACKLINE_TRY_VALUE(animals, roster.animals({}));
  for (const RosterAnimal& animal : animals) {
    WRACKLINE_TRY_VALUE(diets, gather<proto::DietPlan>(replica, animal.place, Kind::kDietPlan));
    std::vector<StockPlan>& plans = input.diets.emplace_back();
    for (const Gathered<proto::DietPlan>& diet : diets) {
      StockPlan& plan = plans.emplace_back();
      plan.first_day = diet.message.first_day();
      if (diet.message.has_last_day()) plan.last_day = diet.message.last_day();
      for (const proto::DietLine& line : diet.message.lines()) {
        StockPlanLine& out = plan.lines.emplace_back();
        out.food = foods.of(id_of(line.food()));
        out.weekdays = line.weekdays();
        if (line.has_mass_mg()) out.mass_mg = line.mass_mg();
      }
    }
  }
  return {};
}

void put_food(const FoodOnHand& figures, const GatheredLots& lots, proto::FoodStock& out) {
  out.set_on_hand_mg(figures.on_hand_mg);
  out.set_past_use_by_mg(figures.past_use_by_mg);
  out.set_need_mg(figures.need_mg);
  out.set_need_incomplete(figures.need_incomplete);
  if (figures.lasts_days) out.set_lasts_days(*figures.lasts_days);
  out.set_order_mg(figures.order_mg);
  for (const LotOnHand& lot : figures.lots) put_lot_view(lots, lot, *out.add_lots());
}

}  // namespace

Status handle_stock(Replica& replica, const proto::StockCall& call, proto::StockReply& out) {
  Roster roster(replica);
  FoodNumbers foods;
  WRACKLINE_TRY_VALUE(lots, gather_lots(replica, foods));
  StockInput input;
  input.day = call.day();
  input.horizon_days = call.horizon_days() == 0 ? kHorizonDefaultDays : call.horizon_days();
  WRACKLINE_TRY(gather_needs(replica, roster, foods, input));
  input.food_count = foods.foods().size();
  input.lots = lots.lots;
  input.changes = lots.changes;
  WRACKLINE_TRY_VALUE(figures, compute_stock(input));

  std::vector<std::tuple<std::string, ChangeId, std::size_t>> by_name;
  for (std::size_t i = 0; i < figures.size(); ++i) {
    const FoodOnHand& food = figures[i];
    // An old plan or an empty lot says nothing of today.
    if (food.lots.empty() && !food.lasts_days && !food.need_incomplete) continue;
    WRACKLINE_TRY_VALUE(name, roster.name_of(foods.foods()[i]));
    by_name.emplace_back(name, foods.foods()[i], i);
  }
  std::sort(by_name.begin(), by_name.end());
  for (const auto& [name, id, index] : by_name) {
    proto::FoodStock& food = *out.add_foods();
    put_id(id, *food.mutable_food());
    food.set_food_name(name);
    put_food(figures[index], lots, food);
  }
  return {};
}

}  // namespace wrackline
