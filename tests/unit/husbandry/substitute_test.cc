// Goal: the call for a missing food gives the mass of the other one, and the energy of both where it is known.
#include "support/shift.h"

using namespace wrackline;

namespace {

struct Kitchen {
  Facility facility;
  Device& desk;
  Shift shift;
  RecordId herring, squid, mussel;

  Kitchen() : desk(facility.add_device("desk")), shift((facility.exchange_all(), desk), facility.keeper()) {
    // USDA SR-28, NDB 15039 and 15175: 158 and 92 kcal per 100 g.
    herring = food("herring", 1580);
    squid = food("squid", 920);
    mussel = food("mussel", 0);
  }
  RecordId food(const std::string& name, std::uint32_t energy_cal_per_g) {
    proto::Food food;
    food.set_name(name);
    if (energy_cal_per_g > 0) food.set_energy_cal_per_g(energy_cal_per_g);
    return shift.log(Kind::kFood, food);
  }
  proto::Reply ask(RecordId missing, RecordId by, std::uint64_t mass_mg, proto::Equality equality) {
    proto::Call call;
    proto::SubstituteCall& substitute = *call.mutable_substitute();
    *substitute.mutable_food() = ref_of(missing);
    *substitute.mutable_by() = ref_of(by);
    substitute.set_mass_mg(mass_mg);
    substitute.set_equality(equality);
    return shift.call(call);
  }
};

}  // namespace

TEST_CASE("equal energy of a leaner food weighs more, equal mass gives less energy", "[call][substitute]") {
  Kitchen k;
  // 300 g of herring are 474 kcal; 474 / 0.92 = 515.217391 g of squid.
  const proto::SubstituteReply energy = k.ask(k.herring, k.squid, 300'000, proto::EQUALITY_ENERGY).substitute();
  CHECK(energy.mass_mg() == 515'217);
  CHECK(energy.energy_before_cal() == 474'000);
  CHECK(energy.energy_after_cal() == 474'000);
  const proto::SubstituteReply mass = k.ask(k.herring, k.squid, 300'000, proto::EQUALITY_MASS).substitute();
  CHECK(mass.mass_mg() == 300'000);
  CHECK(mass.energy_before_cal() == 474'000);
  CHECK(mass.energy_after_cal() == 276'000);
}

TEST_CASE("an energy that is not known is not made up", "[call][substitute]") {
  Kitchen k;
  CHECK(k.ask(k.herring, k.mussel, 300'000, proto::EQUALITY_ENERGY).failure().message().find("energy") != std::string::npos);
  const proto::SubstituteReply mass = k.ask(k.herring, k.mussel, 300'000, proto::EQUALITY_MASS).substitute();
  CHECK(mass.mass_mg() == 300'000);
  CHECK(mass.has_energy_before_cal());
  CHECK_FALSE(mass.has_energy_after_cal());
}

TEST_CASE("a substitution needs two foods, a mass and what is to be equal", "[call][substitute]") {
  Kitchen k;
  const RecordId seal = k.shift.animal("Sila");
  CHECK(k.ask(k.herring, seal, 1, proto::EQUALITY_MASS).failure().code() == static_cast<std::uint32_t>(ErrorCode::kInvalid));
  CHECK(k.ask(k.herring, {}, 1, proto::EQUALITY_MASS).has_failure());
  CHECK(k.ask(k.herring, k.squid, 0, proto::EQUALITY_MASS).has_failure());
  CHECK(k.ask(k.herring, k.squid, 1, proto::EQUALITY_UNSPECIFIED).has_failure());
}

TEST_CASE("food given as planned and more of it for a food that was missing is no double entry", "[call][substitute]") {
  TwoKeepers keepers;
  Shift& shift = keepers.on_north;
  const RecordId squid = shift.food("squid");
  const auto [meal, planned] = shift.meal(keepers.animal, squid, 510, 300'000);
  proto::Portion in_place;
  *in_place.mutable_meal() = ref_of(meal);
  *in_place.mutable_food() = ref_of(squid);
  in_place.set_offered_mg(500'000);
  *in_place.mutable_substitutes() = ref_of(keepers.food);
  in_place.set_substituted_mg(450'000);
  in_place.set_substituted_by(proto::EQUALITY_ENERGY);
  const RecordId second = shift.log(Kind::kPortion, in_place);
  CHECK(shift.review().items_size() == 0);
  // Whoever takes back what it stood for has logged one portion twice.
  proto::Call clear;
  *clear.mutable_edit()->mutable_record() = ref_of(second);
  for (std::uint32_t field : {9u, 10u, 11u}) clear.mutable_edit()->add_clears(field);
  clear.mutable_edit()->set_reason("it was planned so");
  shift.must_call(clear);
  CHECK(shift.review().items_size() == 1);
}
