// This file says what speaks against giving a dose now, by what this replica knows. Findings, never a decision.
//
// The caller hands in the order's limits, the administrations of the order that are in account (not struck,
// not folded) and the dose that a person is about to give or to enter. Which earlier doses count:
//
//   outcome              in the animal   how it counts for interval and daily maximum
//   given, part          yes             certain; an amount not known is a dose all the same
//   unknown              perhaps         possible: it counts, and the finding says that it is not certain
//   refused, held, lost  no              not at all; the slot then has an entry, and that is said
//
// A dose of which nothing is known is never counted as none. No finding is no permission: other tablets may
// hold doses that have not come here yet.
#pragma once

#include <cstdint>
#include <optional>
#include <vector>

#include "base/ids.h"

namespace wrackline {

// A dose ended in one of these ways.
enum class DoseOutcome { kGiven, kPart, kRefused, kHeld, kLost, kUnknown };

// The limits that the order states; absent = the order does not say.
struct DoseLimits {
  std::optional<std::uint32_t> interval_min;   // Least time between two doses
  std::optional<std::uint32_t> daily_max;      // Most doses in one husbandry day
  std::vector<std::uint32_t> slots_min;        // Minutes after local midnight; empty = the order has no slots
  std::optional<std::uint32_t> tolerance_min;  // How far from its slot a dose may be given, either side
};

// One dose of the order that is known here.
struct KnownDose {
  Day due_day = 0;
  std::uint32_t due_slot_min = 0;
  WallMs happened_ms = 0;
  Day happened_day = 0;  // Husbandry day of happened_ms
  DoseOutcome outcome = DoseOutcome::kUnknown;
  bool amount_known = false;
};

// The dose to be judged.
struct NewDose {
  Day due_day = 0;
  std::uint32_t due_slot_min = 0;
  WallMs at_ms = 0;
  Day at_day = 0;                // Husbandry day of at_ms
  std::optional<WallMs> due_ms;  // Instant of the slot, for early and late; absent = not judged
};

enum class DoseFinding {
  kAlreadyGiven,    // The same day and slot has a dose that was given, in part or perhaps.
  kAlreadyEntered,  // It has one that was refused, held or lost.
  kTooSoon,         // Less than the interval after an earlier dose; `minutes` until it is over.
  kTooCloseBefore,  // Less than the interval before a later dose that is known already; `minutes` short of
                    // it.
  kDailyMax,        // The day has as many doses as it may have.
  kAmountNotKnown,  // An earlier dose that was counted for one of the above: how much went in is not known.
  kNotASlot,        // The order has slots, and this is none of them.
  kEarly,           // Before its slot by more than the tolerance; `minutes` before the slot.
  kLate,            // After it likewise.
};

struct DoseRemark {
  DoseFinding finding = DoseFinding::kAlreadyGiven;
  // False when it rests on a dose of which nobody knows whether it was given: "possibly given".
  bool certain = true;
  std::uint64_t minutes = 0;         // See above; 0 where there are none. Begun minutes count.
  std::optional<std::size_t> known;  // Index of the dose it speaks of
};

// In the order of DoseFinding, then of `known_doses`. For the interval only the nearest dose before and the
// nearest after count, the certain one and the possible one each. Empty: nothing known here speaks against
// it.
std::vector<DoseRemark> judge_dose(const DoseLimits& limits, const std::vector<KnownDose>& known_doses,
                                   const NewDose& dose);

}  // namespace wrackline
