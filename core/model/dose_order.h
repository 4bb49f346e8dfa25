// Doses of one order that were given the other way round than they were due.
//
// A dose is out of order when one that was due at a later slot was given before it. Judged between neighbours alone: a
// dose and the next slot of the order, at most kDoseOrderDays later, of which a dose is in account. So a slip of the
// date in one record flags one pair and not every dose since. Given at the same moment is in order: a dose that is made
// good together with the next one is the dose guard's to judge, by the interval.
//
// Counted are doses that are, or may be, in the animal (given, in part, not known), that name a slot and say when they
// happened. One that was refused, held back or lost was never given, so nothing came before or after it; one beside the
// order's slots has no place among them. Pure: on the merged fields alone, so every replica flags the same.
#pragma once

#include <cstdint>
#include <optional>
#include <vector>

#include "base/bytes.h"
#include "base/ids.h"

namespace wrackline {

inline constexpr Day kDoseOrderDays = 2;

struct SlottedDose {
  ChangeId id;
  Day due_day = 0;
  std::uint32_t slot_min = 0;
  WallMs happened_ms = 0;
};

// From the merged fields of an administration, or from its key and brief fields. None for a dose that does not count.
std::optional<SlottedDose> slotted_dose(ChangeId id, ByteView fields);

struct DosePair {
  ChangeId due_first;    // Due first, and given second.
  ChangeId given_first;  // The dose that was given first of the next slot's.
};

// Takes the doses of one order, in any order; answers pairs, ascending by `due_first`'s due time and id.
std::vector<DosePair> doses_out_of_order(std::vector<SlottedDose> doses);

}  // namespace wrackline
