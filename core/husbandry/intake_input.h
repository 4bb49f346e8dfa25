// Gathers what an animal was fed, weighed and planned, for analytics/intake.h, and says what came out.
#pragma once

#include <husbandry.pb.h>

#include "analytics/intake.h"
#include "reading/roster.h"

namespace wrackline {

// Everything in account that the figures of these days need. The foods' records stand beside input.foods, index
// for index.
struct GatheredIntake {
  IntakeInput input;
  std::vector<ChangeId> foods;
};
Result<GatheredIntake> gather_intake(Replica& replica, const RosterAnimal& animal, Day first_day, Day last_day);

// From the brief fields of a portion as they stand in its row: there are a hundred thousand of them in a report.
IntakePortion portion_of_brief(ByteView brief, std::size_t food);

void put_intake_day(const IntakeDayFigures& day, proto::IntakeDay& out);

}  // namespace wrackline
