#include "husbandry/stock_input.h"
#include "reading/record_view.h"

#include <algorithm>
#include <set>
#include <tuple>

namespace wrackline {

Result<GatheredLots> gather_lots(Replica& replica, FoodNumbers& foods) {
  GatheredLots out;
  // It goes by way of the foods, struck ones too: a search over all subjects would read through the keys of every
  // record.
  WRACKLINE_TRY_VALUE(food_places, replica.store().records().find(0, Kind::kFood, kFirstDayOfAll, kLastDayOfAll));
  for (Place food : food_places) {
    WRACKLINE_TRY_VALUE(of_food, gather<proto::Lot>(replica, food, Kind::kLot));
    for (Gathered<proto::Lot>& lot : of_food) out.records.push_back(std::move(lot));
  }
  std::sort(out.records.begin(), out.records.end(), [](const Gathered<proto::Lot>& a, const Gathered<proto::Lot>& b) {
    return std::tie(a.message.code(), a.id) < std::tie(b.message.code(), b.id);
  });
  for (const Gathered<proto::Lot>& record : out.records) {
    const std::size_t index = out.lots.size();
    StockLot& lot = out.lots.emplace_back();
    lot.food = foods.of(id_of(record.message.food()));
    if (record.message.has_use_by_day()) lot.use_by_day = record.message.use_by_day();
    if (record.message.has_received_day()) lot.received_day = record.message.received_day();
    WRACKLINE_TRY_VALUE(movements, gather_brief<proto::StockMovement>(replica, record.place, Kind::kStockMovement));
    for (const Gathered<proto::StockMovement>& movement : movements) {
      out.changes.push_back({index, movement.message.change_mg()});
    }
  }
  return out;
}

Result<std::vector<bool>> used_up(Replica& replica, const ThawBatches& batches, Day last) {
  std::vector<bool> out;
  if (batches.empty()) return out;
  std::map<ChangeId, BatchTaken> taken;
  Day first = last;
  for (const Gathered<proto::ThawBatch>& batch : batches) {
    taken[batch.id];
    first = std::min(first, batch.message.day());
  }
  Projection& records = replica.store().records();
  // It goes by way of the animals, struck ones too: what they ate is gone.
  WRACKLINE_TRY_VALUE(animals, records.find(0, Kind::kAnimal, kFirstDayOfAll, kLastDayOfAll));
  for (Place animal : animals) {
    WRACKLINE_TRY_VALUE(meals, gather_brief<proto::Meal>(replica, animal, Kind::kMeal, first, last));
    for (const Gathered<proto::Meal>& meal : meals) {
      WRACKLINE_TRY_VALUE(portions, gather<proto::Portion>(replica, meal.place, Kind::kPortion));
      for (const Gathered<proto::Portion>& portion : portions) {
        const auto of = taken.find(id_of(portion.message.thaw_batch()));
        if (of == taken.end()) continue;
        const proto::Portion& message = portion.message;
        const bool by_dish = message.has_gross_mg() && message.gross_mg() >= message.tare_mg();
        of->second.fed_mg += by_dish ? message.gross_mg() - message.tare_mg() : message.offered_mg();
      }
    }
  }
  std::set<ChangeId> lots;
  for (const Gathered<proto::ThawBatch>& batch : batches) lots.insert(id_of(batch.message.lot()));
  for (ChangeId lot : lots) {
    const Place place = replica.store().logs().find_place(lot);
    WRACKLINE_TRY_VALUE(movements, gather_brief<proto::StockMovement>(replica, place, Kind::kStockMovement, first, last));
    for (const Gathered<proto::StockMovement>& movement : movements) {
      const auto of = taken.find(id_of(movement.message.thaw_batch()));
      if (of == taken.end()) continue;
      const std::int64_t change_mg = movement.message.change_mg();
      const std::uint64_t gone_mg = change_mg < 0 ? static_cast<std::uint64_t>(-change_mg) : 0;
      if (movement.message.cause() == proto::MOVEMENT_CAUSE_USED) of->second.used_mg += gone_mg;
      if (movement.message.cause() == proto::MOVEMENT_CAUSE_DISCARDED) of->second.discarded_mg += gone_mg;
      if (movement.message.cause() == proto::MOVEMENT_CAUSE_COUNTED && movement.message.counted_mg() == 0)
        of->second.counted_empty = true;
    }
  }
  for (const Gathered<proto::ThawBatch>& batch : batches) {
    const auto mass_mg = batch.message.has_mass_mg() ? std::optional<std::uint64_t>(batch.message.mass_mg()) : std::nullopt;
    out.push_back(is_used_up(mass_mg, taken[batch.id]));
  }
  return out;
}

void put_lot_view(const GatheredLots& lots, const LotOnHand& on_hand, proto::LotView& out) {
  const Gathered<proto::Lot>& record = lots.records[on_hand.lot];
  put_id(record.id, *out.mutable_lot());
  out.set_code(record.message.code());
  out.set_store(record.message.store());
  if (record.message.has_use_by_day()) out.set_use_by_day(record.message.use_by_day());
  out.set_past_use_by(on_hand.past_use_by);
  out.set_on_hand_mg(on_hand.on_hand_mg);
}

}  // namespace wrackline
