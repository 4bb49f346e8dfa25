#include "call/stock_input.h"

#include <tuple>

namespace wrackline {

Result<GatheredLots> gather_lots(Replica& replica, FoodNumbers& foods) {
  GatheredLots out;
  // By way of the foods, struck ones too: a search over all subjects would read through the keys of every record.
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
