// Goal: an approval never stands over something its giver has not seen. Method: plans edited and approved on one
// device and on two that do not see each other.
#include <algorithm>

#include "support/shift.h"

using namespace wrackline;

namespace {

proto::DietPlan plan_of(RecordId animal, RecordId food, std::uint64_t mass_mg) {
  proto::DietPlan plan;
  *plan.mutable_animal() = ref_of(animal);
  plan.set_first_day(20'000);
  proto::DietLine& line = *plan.add_lines();
  *line.mutable_food() = ref_of(food);
  line.set_mass_mg(mass_mg);
  return plan;
}

proto::DietPlan lines_of(RecordId food, std::uint64_t mass_mg) {
  proto::DietPlan plan = plan_of({}, food, mass_mg);
  plan.clear_animal();
  plan.clear_first_day();
  return plan;
}

proto::DietPlan approval_of(RecordId person) {
  proto::DietPlan plan;
  *plan.mutable_approved_by() = ref_of(person);
  return plan;
}

proto::DietPlan read_plan(Shift& shift, RecordId record) {
  proto::DietPlan plan;
  REQUIRE(plan.ParseFromString(shift.load(record).fields));
  return plan;
}

}  // namespace

TEST_CASE("an edit of an approved plan takes the approval away, unless it gives it anew", "[replica]") {
  Facility facility;
  Device& desk = facility.add_device("desk");
  facility.exchange_all();
  Shift officer(desk, facility.keeper());
  const RecordId animal = officer.animal("Sila"), herring = officer.food("herring");
  proto::DietPlan plan = plan_of(animal, herring, 1'000'000);
  *plan.mutable_approved_by() = ref_of(facility.keeper());
  const RecordId record = officer.log(Kind::kDietPlan, plan);

  must(officer.try_edit(record, lines_of(herring, 1'200'000), "growing"));
  REQUIRE_FALSE(read_plan(officer, record).has_approved_by());

  proto::DietPlan both = lines_of(herring, 1'100'000);
  *both.mutable_approved_by() = ref_of(facility.keeper());
  must(officer.try_edit(record, both, "seen by the vet"));
  REQUIRE(read_plan(officer, record).has_approved_by());
  officer.strike(record, "moved to another plan");
  REQUIRE(read_plan(officer, record).has_approved_by());
}

TEST_CASE("a plan approved here while it is edited there is a disagreement about the approval", "[replica]") {
  Facility facility;
  Device& desk = facility.add_device("desk");
  Device& north = facility.add_device("north tablet");
  facility.exchange_all();
  Shift vet(desk, facility.keeper()), curator(north, facility.keeper());
  const RecordId animal = vet.animal("Sila"), herring = vet.food("herring");
  const RecordId record = vet.log(Kind::kDietPlan, plan_of(animal, herring, 1'000'000));
  facility.exchange_all();

  must(vet.try_edit(record, approval_of(facility.keeper()), ""));
  must(curator.try_edit(record, lines_of(herring, 2'000'000), "doubled"));
  facility.exchange_all();
  for (Shift* shift : {&vet, &curator}) {
    const proto::ReviewReply review = shift->review();
    REQUIRE(review.items_size() == 1);
    REQUIRE(review.items(0).field() == proto::DietPlan::kApprovedByFieldNumber);
  }
}

TEST_CASE("two edits of a plan's lines unaware of each other disagree, and the approver decides", "[replica]") {
  TwoKeepers keepers;
  auto& [facility, north, south, on_north, on_south, animal, herring] = keepers;
  const RecordId record = on_north.log(Kind::kDietPlan, plan_of(animal, herring, 1'000'000));
  facility.exchange_all();
  must(on_north.try_edit(record, lines_of(herring, 1'500'000), "thin"));
  must(on_south.try_edit(record, lines_of(herring, 800'000), "fat"));
  facility.exchange_all();
  const proto::RecordView view = on_north.view(record);
  REQUIRE(std::count(view.disagreements().begin(), view.disagreements().end(),
                     static_cast<std::uint32_t>(proto::DietPlan::kLinesFieldNumber)) == 1);
}
