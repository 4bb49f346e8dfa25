// This file says what a body is taken to weigh on a day: as weighed, between two weighings, or the last one carried on.
//
// For charts and for intake per body mass. A dose goes by a real weighing and its age, not by this: a figure
// between two weighings was weighed by nobody, and it changes when a weighing is added in between.
#pragma once

#include <cstdint>
#include <optional>
#include <vector>

#include "analytics/intake.h"

namespace wrackline {

enum class BodyMassBasis : std::uint8_t {
  kWeighed,  // On that day.
  kBetween,  // On the straight line, in days, from the weighing before to the one after.
  kCarried,  // No weighing after it: the last one, unchanged.
};

struct BodyMassOnDay {
  std::uint64_t mass_mg = 0;
  BodyMassBasis basis = BodyMassBasis::kWeighed;
  std::uint32_t age_days = 0;  // Since the weighing before; 0 when weighed that day.
};

// `weighings` in any order; of two on one day the one further back in the list counts, and a mass of 0 is
// none. Before the first weighing there is no answer: nothing is carried backwards. Rounded to the milligram.
std::optional<BodyMassOnDay> body_mass_on(Day day, const std::vector<BodyMass>& weighings);

}  // namespace wrackline
