#include "model/dose_order.h"

#include <algorithm>
#include <tuple>

#include "model/kinds.h"
#include "model/read_message.h"
#include "records.pb.h"

namespace wrackline {

std::optional<SlottedDose> slotted_dose(ChangeId id, ByteView fields) {
  proto::Administration dose;
  if (!built_in_of(fields).in_account() || !read_message(fields, dose)) return std::nullopt;
  const bool was_not_given = dose.outcome() == proto::OUTCOME_REFUSED || dose.outcome() == proto::OUTCOME_HELD ||
                             dose.outcome() == proto::OUTCOME_LOST;
  if (was_not_given || !dose.has_due_day() || !dose.has_due_slot_min() || !dose.has_happened_ms()) return std::nullopt;
  return SlottedDose{id, dose.due_day(), dose.due_slot_min(), dose.happened_ms()};
}

std::vector<DosePair> doses_out_of_order(std::vector<SlottedDose> doses) {
  std::sort(doses.begin(), doses.end(), [](const SlottedDose& a, const SlottedDose& b) {
    return std::tie(a.due_day, a.slot_min, a.id) < std::tie(b.due_day, b.slot_min, b.id);
  });
  std::vector<DosePair> out;
  for (auto dose = doses.begin(); dose != doses.end(); ++dose) {
    const auto is_later_slot = [&](const SlottedDose& other) {
      return std::tie(other.due_day, other.slot_min) > std::tie(dose->due_day, dose->slot_min);
    };
    const auto next = std::find_if(dose, doses.end(), is_later_slot);
    if (next == doses.end() || next->due_day - dose->due_day > kDoseOrderDays) continue;
    const SlottedDose* given_first = &*next;
    for (auto of_slot = next; of_slot != doses.end(); ++of_slot) {
      if (of_slot->due_day != next->due_day || of_slot->slot_min != next->slot_min) break;
      if (of_slot->happened_ms < given_first->happened_ms) given_first = &*of_slot;
    }
    if (given_first->happened_ms < dose->happened_ms) out.push_back({dose->id, given_first->id});
  }
  return out;
}

}  // namespace wrackline
