#include "husbandry/husbandry_calls.h"
#include "husbandry/intake_input.h"
#include "reading/record_view.h"

namespace wrackline {

Status handle_collection_day(Replica& replica, const proto::CollectionDayCall& call, proto::CollectionDayReply& out) {
  Roster roster(replica);
  WRACKLINE_TRY_VALUE(animals, roster.animals(call.area()));
  for (const RosterAnimal& animal : animals) {
    WRACKLINE_TRY_VALUE(gathered, gather_intake(replica, animal, call.day(), call.day()));
    WRACKLINE_TRY_VALUE(figures, compute_intake(gathered.input));
    proto::AnimalDay& row = *out.add_animals();
    put_id(animal.id, *row.mutable_animal());
    row.set_animal_name(animal.animal.name());
    row.set_pool_name(animal.pool_name);
    row.set_area(animal.area);
    row.set_head_count(figures.head_count);
    put_intake_day(figures.days.front(), *row.mutable_intake());
  }
  return {};
}

}  // namespace wrackline
