// This file says what became of a dose, as dosing/ takes it.
#pragma once

#include <records.pb.h>

#include "dosing/dose_guard.h"

namespace wrackline {

// An outcome of a newer release is not understood, which is not none.
inline DoseOutcome to_outcome(proto::Outcome outcome) {
  switch (outcome) {
    case proto::OUTCOME_GIVEN:
      return DoseOutcome::kGiven;
    case proto::OUTCOME_PART:
      return DoseOutcome::kPart;
    case proto::OUTCOME_REFUSED:
      return DoseOutcome::kRefused;
    case proto::OUTCOME_HELD:
      return DoseOutcome::kHeld;
    case proto::OUTCOME_LOST:
      return DoseOutcome::kLost;
    default:
      return DoseOutcome::kUnknown;
  }
}

}  // namespace wrackline
