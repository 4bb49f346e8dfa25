// The rules of lots, stock movements and thaw batches.
#include "model/read_message.h"
#include "records.pb.h"

namespace wrackline {

using namespace proto;  // This file speaks of nothing else.

void validate_lot(ByteView fields, Problems& problems) {
  Lot lot;
  if (!read_to_judge(fields, lot, problems)) return;
  expect(problems, is_usable(lot.food()), Lot::kFoodFieldNumber, ProblemCode::kLotNamesNoFood);
  expect(problems, has_text(lot.code()), Lot::kCodeFieldNumber, ProblemCode::kLotHasNoCode);
  expect(problems, is_plausible_day(lot.received_day()) && is_plausible_day(lot.use_by_day()), Lot::kReceivedDayFieldNumber, ProblemCode::kDayOfLotNotPlausible);
  expect(problems, !lot.has_use_by_day() || !lot.has_received_day() || lot.use_by_day() >= lot.received_day(), Lot::kUseByDayFieldNumber, ProblemCode::kLotPastUseByWhenReceived);
}

void validate_stock_movement(ByteView fields, Problems& problems) {
  StockMovement movement;
  if (!read_to_judge(fields, movement, problems)) return;
  expect(problems, is_usable(movement.lot()), StockMovement::kLotFieldNumber, ProblemCode::kMovementNamesNoLot);
  expect_day(problems, movement);
  expect(problems, movement.cause() != MOVEMENT_CAUSE_UNSPECIFIED, StockMovement::kCauseFieldNumber, ProblemCode::kStockChangeIsMissing);
  expect(problems, movement.has_change_mg(), StockMovement::kChangeMgFieldNumber, ProblemCode::kMovedMassIsMissing);
  constexpr std::int64_t kMax = static_cast<std::int64_t>(kPortionMgMax) * 1000;
  expect(problems, movement.change_mg() >= -kMax && movement.change_mg() <= kMax, StockMovement::kChangeMgFieldNumber, ProblemCode::kBodyMassOver1000T);
  expect(problems, movement.cause() != MOVEMENT_CAUSE_RECEIVED || movement.change_mg() > 0, StockMovement::kCauseFieldNumber, ProblemCode::kReceivedMassNotAbove0);
  expect(problems, (movement.cause() != MOVEMENT_CAUSE_USED && movement.cause() != MOVEMENT_CAUSE_DISCARDED) || movement.change_mg() < 0, StockMovement::kCauseFieldNumber, ProblemCode::kUsedMassNotBelow0);
  expect(problems, (movement.cause() == MOVEMENT_CAUSE_COUNTED) == movement.has_counted_mg(), StockMovement::kCauseFieldNumber, ProblemCode::kCountedMassAndCountGoTogether);
  expect(problems, !movement.has_thaw_batch() || is_usable(movement.thaw_batch()), StockMovement::kThawBatchFieldNumber, ProblemCode::kThawBatchIsNoRecord);
}

void validate_thaw_batch(ByteView fields, Problems& problems) {
  ThawBatch batch;
  if (!read_to_judge(fields, batch, problems)) return;
  expect(problems, is_usable(batch.lot()), ThawBatch::kLotFieldNumber, ProblemCode::kBatchNamesNoLot);
  expect_day(problems, batch);
  expect(problems, batch.has_happened_ms(), ThawBatch::kHappenedMsFieldNumber, ProblemCode::kThawStartIsMissing);
  expect(problems, batch.method() != THAW_METHOD_UNSPECIFIED, ThawBatch::kMethodFieldNumber, ProblemCode::kThawWayIsMissing);
  expect(problems, batch.mass_mg() <= kPortionMgMax, ThawBatch::kMassMgFieldNumber, ProblemCode::kThawedMassOver1000Kg);
  expect(problems, !batch.has_thawed_ms() || batch.thawed_ms() >= batch.happened_ms(), ThawBatch::kThawedMsFieldNumber, ProblemCode::kThawedBeforeItLeftTheFreezer);
  expect(problems, !batch.has_discarded_ms() || batch.discarded_ms() >= batch.happened_ms(), ThawBatch::kDiscardedMsFieldNumber, ProblemCode::kDiscardedBeforeItLeftTheFreezer);
}

}  // namespace wrackline
