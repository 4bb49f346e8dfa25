// Gathers lots and their movements for analytics/stock.h, and says what came out.
#pragma once

#include <records.pb.h>

#include <map>
#include <vector>

#include "analytics/stock.h"
#include "reading/gather.h"

namespace wrackline {

// Numbers foods as they are met.
class FoodNumbers {
 public:
  std::size_t of(ChangeId food) {
    const auto [it, is_new] = numbers_.try_emplace(food, foods_.size());
    if (is_new) foods_.push_back(food);
    return it->second;
  }
  const std::vector<ChangeId>& foods() const { return foods_; }

 private:
  std::map<ChangeId, std::size_t> numbers_;
  std::vector<ChangeId> foods_;
};

// Lots in account, by code, with all movements in account of them. A movement of a lot that is struck or folded
// counts for nothing: after a fold, a count of the other lot sets the book right.
struct GatheredLots {
  std::vector<Gathered<proto::Lot>> records;
  std::vector<StockLot> lots;  // Index for index.
  std::vector<StockChange> changes;
};
Result<GatheredLots> gather_lots(Replica& replica, FoodNumbers& foods);

using ThawBatches = std::vector<Gathered<proto::ThawBatch>>;
// Says for each of these batches, by its index, whether nothing is left of it: by the portions and movements that
// name them, up to and with `last`.
Result<std::vector<bool>> used_up(Replica& replica, const ThawBatches& batches, Day last);

void put_lot_view(const GatheredLots& lots, const LotOnHand& on_hand, proto::LotView& out);

}  // namespace wrackline
