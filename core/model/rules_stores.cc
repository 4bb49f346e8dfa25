// The rules of lots, stock movements and thaw batches.
#include "model/read_message.h"
#include "records.pb.h"

namespace wrackline {

using namespace proto;  // This file speaks of nothing else.

void validate_lot(ByteView fields, std::vector<std::string>& problems) {
  Lot lot;
  if (!read_to_judge(fields, lot, problems)) return;
  expect(problems, is_usable(lot.food()), "the lot names no food: say what is in it");
  expect(problems, has_text(lot.code()), "the lot has no code: write what stands on the box, or a name of your own");
  expect(problems, is_plausible_day(lot.received_day()) && is_plausible_day(lot.use_by_day()),
         "a day of the lot is not plausible: check the dates");
  expect(problems, !lot.has_use_by_day() || !lot.has_received_day() || lot.use_by_day() >= lot.received_day(),
         "the lot was past its use-by day when it came: check both days; a lot like that is refused at the door");
}

void validate_stock_movement(ByteView fields, std::vector<std::string>& problems) {
  StockMovement movement;
  if (!read_to_judge(fields, movement, problems)) return;
  expect(problems, is_usable(movement.lot()), "the movement names no lot: say of which lot");
  expect_day(problems, movement);
  expect(problems, movement.cause() != MOVEMENT_CAUSE_UNSPECIFIED,
         "it is not said why the stock changed: received, used, discarded or counted");
  expect(problems, movement.has_change_mg(), "the mass is missing: say how much came or went");
  constexpr std::int64_t kMax = static_cast<std::int64_t>(kPortionMgMax) * 1000;
  expect(problems, movement.change_mg() >= -kMax && movement.change_mg() <= kMax,
         "the mass is more than 1000 t: check the unit");
  expect(problems, movement.cause() != MOVEMENT_CAUSE_RECEIVED || movement.change_mg() > 0,
         "what was received must be above 0: check the sign");
  expect(problems,
         (movement.cause() != MOVEMENT_CAUSE_USED && movement.cause() != MOVEMENT_CAUSE_DISCARDED) ||
             movement.change_mg() < 0,
         "what was used or discarded must be below 0: check the sign");
  expect(problems, (movement.cause() == MOVEMENT_CAUSE_COUNTED) == movement.has_counted_mg(),
         "a count needs what was counted, and only a count has it: give the mass that was found");
  expect(problems, !movement.has_thaw_batch() || is_usable(movement.thaw_batch()),
         "the thaw batch is not a record: choose it again");
}

void validate_thaw_batch(ByteView fields, std::vector<std::string>& problems) {
  ThawBatch batch;
  if (!read_to_judge(fields, batch, problems)) return;
  expect(problems, is_usable(batch.lot()), "the batch names no lot: say what was taken out to thaw");
  expect_day(problems, batch);
  expect(problems, batch.has_happened_ms(), "the time is missing: say when it left the freezer; its clock runs from there");
  expect(problems, batch.method() != THAW_METHOD_UNSPECIFIED,
         "it is not said how it thaws: in the refrigerator or in cold water");
  expect(problems, batch.mass_mg() <= kPortionMgMax, "the mass is more than 1000 kg: check the unit");
  expect(problems, !batch.has_thawed_ms() || batch.thawed_ms() >= batch.happened_ms(),
         "it was thawed before it left the freezer: check both times");
  expect(problems, !batch.has_discarded_ms() || batch.discarded_ms() >= batch.happened_ms(),
         "it was discarded before it left the freezer: check both times");
}

}  // namespace wrackline
