// The rules of people, places, animals and foods: what is there before anything happens.
#include "model/read_message.h"
#include "records.pb.h"

namespace wrackline {

using namespace proto;  // This file speaks of nothing else.

void validate_facility(ByteView fields, Problems& problems) {
  Facility facility;
  if (!read_to_judge(fields, facility, problems)) return;
  expect(problems, has_text(facility.name()), Facility::kNameFieldNumber, ProblemCode::kFacilityHasNoName);
  expect(problems, has_text(facility.time_zone()), Facility::kTimeZoneFieldNumber, ProblemCode::kTimeZoneIsMissing);
  expect(problems, !facility.has_lock_after_min() || (facility.lock_after_min() >= 1 && facility.lock_after_min() <= kLockAfterMinMax), Facility::kLockAfterMinFieldNumber, ProblemCode::kLockTimeNot1To240Minutes);
  expect(problems, !facility.has_phone_order_doses() || facility.phone_order_doses() <= 10, Facility::kPhoneOrderDosesFieldNumber, ProblemCode::kTelephoneDosesOver10);
  expect(problems, !facility.has_proof_hours() || (facility.proof_hours() >= 1 && facility.proof_hours() <= kProofHoursMax), Facility::kProofHoursFieldNumber, ProblemCode::kProofTimeNot1HourTo14Days);
}

void validate_presence(ByteView fields, Problems& problems) {
  Presence presence;
  if (!read_to_judge(fields, presence, problems)) return;
  expect(problems, is_usable(presence.person()), Presence::kPersonFieldNumber, ProblemCode::kPresenceNamesNobody);
  expect(problems, is_usable(presence.device()), Presence::kDeviceFieldNumber, ProblemCode::kPresenceNamesNoDevice);
  expect(problems, presence.from_ms() <= presence.until_ms(), Presence::kFromMsFieldNumber, ProblemCode::kPresenceEndsBeforeItBegins);
}

void validate_hub_act(ByteView fields, Problems& problems) {
  proto::HubAct act;
  if (!read_to_judge(fields, act, problems)) return;
  expect(problems, is_usable(act.person()), HubAct::kPersonFieldNumber, ProblemCode::kActNamesNobody);
  expect(problems, is_usable(act.device()), HubAct::kDeviceFieldNumber, ProblemCode::kActNamesNoDevice);
  expect(problems, act.of_log() != 0 && act.first_seq() >= 1 && act.first_seq() <= act.last_seq() && act.last_seq() <= kSeqMax, HubAct::kOfLogFieldNumber, ProblemCode::kActNamesNoChanges);
}

void validate_pin_warning(ByteView fields, Problems& problems) {
  PinWarning warning;
  if (!read_to_judge(fields, warning, problems)) return;
  expect(problems, is_usable(warning.person()), PinWarning::kPersonFieldNumber, ProblemCode::kWarningNamesNobody);
  expect(problems, is_usable(warning.device()), PinWarning::kDeviceFieldNumber, ProblemCode::kWarningNamesNoDevice);
  expect(problems, warning.since_ms() <= warning.at_ms(), PinWarning::kSinceMsFieldNumber, ProblemCode::kWarningEndsBeforeItBegins);
}

void validate_former_role(ByteView fields, Problems& problems) {
  FormerRole note;
  if (!read_to_judge(fields, note, problems)) return;
  expect(problems, is_usable(note.person()), FormerRole::kPersonFieldNumber, ProblemCode::kNoteNamesNobody);
  expect(problems, note.of_log() != 0 && note.first_seq() >= 1 && note.first_seq() <= note.last_seq() && note.last_seq() <= kSeqMax, FormerRole::kOfLogFieldNumber, ProblemCode::kNoteNamesNoChanges);
}

void validate_person(ByteView fields, Problems& problems) {
  Person person;
  if (!read_to_judge(fields, person, problems)) return;
  expect(problems, has_text(person.name()), Person::kNameFieldNumber, ProblemCode::kPersonHasNoName);
  bool roles_named = true;
  for (int role : person.roles()) roles_named = roles_named && role != ROLE_UNSPECIFIED;
  expect(problems, roles_named, Person::kRolesFieldNumber, ProblemCode::kRoleIsNotSet);
}

void validate_device(ByteView fields, Problems& problems) {
  Device device;
  if (!read_to_judge(fields, device, problems)) return;
  expect(problems, has_text(device.name()), Device::kNameFieldNumber, ProblemCode::kDeviceHasNoName);
  expect(problems, device.public_key().size() == 32, Device::kPublicKeyFieldNumber, ProblemCode::kDeviceKeyNot32Bytes);
}

void validate_pool(ByteView fields, Problems& problems) {
  Pool pool;
  if (!read_to_judge(fields, pool, problems)) return;
  expect(problems, has_text(pool.name()), Pool::kNameFieldNumber, ProblemCode::kPoolHasNoName);
  expect(problems, !pool.has_in_area() || is_usable(pool.in_area()), Pool::kInAreaFieldNumber, ProblemCode::kAreaIsNoRecord);
}

void validate_area(ByteView fields, Problems& problems) {
  Area area;
  if (!read_to_judge(fields, area, problems)) return;
  expect(problems, has_text(area.name()), Area::kNameFieldNumber, ProblemCode::kAreaHasNoName);
}

void validate_animal(ByteView fields, Problems& problems) {
  Animal animal;
  if (!read_to_judge(fields, animal, problems)) return;
  expect(problems, has_text(animal.name()), Animal::kNameFieldNumber, ProblemCode::kAnimalHasNoName);
  expect(problems, !animal.has_pool() || is_usable(animal.pool()), Animal::kPoolFieldNumber, ProblemCode::kPoolIsNoRecord);
  expect(problems, !animal.has_head_count() || animal.head_count() >= 1, Animal::kHeadCountFieldNumber, ProblemCode::kHeadCountIs0);
  expect(problems, animal.head_count() <= kHeadCountMax, Animal::kHeadCountFieldNumber, ProblemCode::kHeadCountNotPlausible);
}

void validate_food(ByteView fields, Problems& problems) {
  Food food;
  if (!read_to_judge(fields, food, problems)) return;
  expect(problems, has_text(food.name()), Food::kNameFieldNumber, ProblemCode::kFoodHasNoName);
  expect(problems, food.energy_cal_per_g() <= kEnergyCalPerGMax, Food::kEnergyCalPerGFieldNumber, ProblemCode::kEnergyOverPureFat);
  expect(problems, food.water_ppm() <= 1'000'000, Food::kWaterPpmFieldNumber, ProblemCode::kWaterOverWholeFood);
  const std::uint64_t parts = std::uint64_t{food.water_ppm()} + food.protein_ppm() + food.fat_ppm() +
                              food.carbohydrate_ppm() + food.ash_ppm();
  // Tables round each part; sums of up to 101 g per 100 g are printed in them.
  expect(problems, parts <= 1'010'000, Food::kWaterPpmFieldNumber, ProblemCode::kNutrientsOverWholeFood);
  expect(problems, food.fibre_ppm() <= 1'000'000, Food::kFibrePpmFieldNumber, ProblemCode::kFibreOverWholeFood);
  expect(problems, food.calcium_ug_per_g() <= 1'000'000 && food.phosphorus_ug_per_g() <= 1'000'000, Food::kCalciumUgPerGFieldNumber, ProblemCode::kMineralOverWholeFood);
}

}  // namespace wrackline
