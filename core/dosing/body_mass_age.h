// Whether a body mass is recent enough to compute a dose from.
//
// How old is too old is the site's rule, or the vet's for one animal; common practice, no source. Age is
// counted in husbandry days, so the hour that a clock change adds or takes does not move it.
#pragma once

#include <cstdint>

#include "base/ids.h"

namespace wrackline {

enum class BodyMassVerdict {
  kRecent,      // At most the limit: no warning.
  kTooOld,      // Ask for a new mass, or for a vet's word that this one will do.
  kTakenLater,  // Dated after the day it is to be used on: one of the dates is wrong.
};

struct BodyMassAge {
  std::int64_t age_days = 0;  // Below 0 with kTakenLater.
  BodyMassVerdict verdict = BodyMassVerdict::kRecent;
};

// A mass of the day itself is 0 days old. With a limit of 30, one of 30 days is recent, one of 31 too old.
inline BodyMassAge body_mass_age(Day taken, Day used, std::uint32_t limit_days) {
  const std::int64_t age_days = std::int64_t{used} - taken;
  if (age_days < 0) return {age_days, BodyMassVerdict::kTakenLater};
  return {age_days,
          age_days <= std::int64_t{limit_days} ? BodyMassVerdict::kRecent : BodyMassVerdict::kTooOld};
}

}  // namespace wrackline
