#include "husbandry/husbandry_calls.h"
#include "husbandry/intake_input.h"
#include "reading/record_view.h"

namespace wrackline {

Status handle_intake(Replica& replica, const proto::IntakeCall& call, proto::IntakeReply& out) {
  Roster roster(replica);
  WRACKLINE_TRY_VALUE(animal, roster.animal(id_of(call.animal()), "computing intake"));
  WRACKLINE_TRY_VALUE(gathered, gather_intake(replica, animal, call.first_day(), call.last_day()));
  WRACKLINE_TRY_VALUE(figures, compute_intake(gathered.input));
  for (const IntakeDayFigures& day : figures.days) put_intake_day(day, *out.add_days());
  out.set_days_recorded(figures.days_recorded);
  out.set_days_complete(figures.days_complete);
  if (figures.eaten_mean_mg) out.set_eaten_mean_mg(*figures.eaten_mean_mg);
  if (figures.eaten_median_mg) out.set_eaten_median_mg(*figures.eaten_median_mg);
  if (figures.energy_mean_cal) out.set_energy_mean_cal(*figures.energy_mean_cal);
  out.set_head_count(figures.head_count);
  return {};
}

}  // namespace wrackline
