// The rules of people, places, animals and foods: what is there before anything happens.
#include "model/read_message.h"
#include "records.pb.h"

namespace wrackline {

using namespace proto;  // This file speaks of nothing else.

void validate_facility(ByteView fields, std::vector<std::string>& problems) {
  Facility facility;
  if (!read_to_judge(fields, facility, problems)) return;
  expect(problems, has_text(facility.name()), "the facility has no name: give it one");
  expect(problems, has_text(facility.time_zone()),
         "the time zone is missing: give its IANA name, region and city with a slash between");
  expect(problems, !facility.has_lock_after_min() || (facility.lock_after_min() >= 1 && facility.lock_after_min() <= kLockAfterMinMax),
         "the time until a device locks is not between 1 minute and 4 hours");
  expect(problems, !facility.has_phone_order_doses() || facility.phone_order_doses() <= 10,
         "an order by telephone may be given 10 times at most before it is confirmed: give 0 to 10");
  expect(problems, !facility.has_proof_hours() || (facility.proof_hours() >= 1 && facility.proof_hours() <= kProofHoursMax),
         "the time for which a proof is good is not between 1 hour and 14 days");
}

void validate_presence(ByteView fields, std::vector<std::string>& problems) {
  Presence presence;
  if (!read_to_judge(fields, presence, problems)) return;
  expect(problems, is_usable(presence.person()), "the presence names nobody: the hub writes it anew");
  expect(problems, is_usable(presence.device()), "the presence names no device: the hub writes it anew");
  expect(problems, presence.from_ms() <= presence.until_ms(), "the presence ends before it begins: the hub writes it anew");
}

void validate_hub_act(ByteView fields, std::vector<std::string>& problems) {
  proto::HubAct act;
  if (!read_to_judge(fields, act, problems)) return;
  expect(problems, is_usable(act.person()), "the act names nobody: the hub writes it anew");
  expect(problems, is_usable(act.device()), "the act names no device: the hub writes it anew");
  expect(problems, act.of_log() != 0 && act.first_seq() >= 1 && act.first_seq() <= act.last_seq() && act.last_seq() <= kSeqMax,
         "the act names no changes: the hub writes it anew");
}

void validate_pin_warning(ByteView fields, std::vector<std::string>& problems) {
  PinWarning warning;
  if (!read_to_judge(fields, warning, problems)) return;
  expect(problems, is_usable(warning.person()), "the warning names nobody: the hub writes it anew");
  expect(problems, is_usable(warning.device()), "the warning names no device: the hub writes it anew");
  expect(problems, warning.since_ms() <= warning.at_ms(), "the warning ends before it begins: the hub writes it anew");
}

void validate_former_role(ByteView fields, std::vector<std::string>& problems) {
  FormerRole note;
  if (!read_to_judge(fields, note, problems)) return;
  expect(problems, is_usable(note.person()), "the note names nobody: the hub writes it anew");
  expect(problems, note.of_log() != 0 && note.first_seq() >= 1 && note.first_seq() <= note.last_seq() && note.last_seq() <= kSeqMax,
         "the note names no changes: the hub writes it anew");
}

void validate_person(ByteView fields, std::vector<std::string>& problems) {
  Person person;
  if (!read_to_judge(fields, person, problems)) return;
  expect(problems, has_text(person.name()), "the person has no name: give the full name");
  bool roles_named = true;
  for (int role : person.roles()) roles_named = roles_named && role != ROLE_UNSPECIFIED;
  expect(problems, roles_named, "a role is not set: choose one, or leave it out");
}

void validate_device(ByteView fields, std::vector<std::string>& problems) {
  Device device;
  if (!read_to_judge(fields, device, problems)) return;
  expect(problems, has_text(device.name()), "the device has no name: give one that people can tell it by");
  expect(problems, device.public_key().size() == 32,
         "the device's public key must have 32 bytes: enrol it again");
}

void validate_pool(ByteView fields, std::vector<std::string>& problems) {
  Pool pool;
  if (!read_to_judge(fields, pool, problems)) return;
  expect(problems, has_text(pool.name()), "the pool has no name: give it one");
  expect(problems, !pool.has_in_area() || is_usable(pool.in_area()), "the area is not a record: choose the area again");
}

void validate_area(ByteView fields, std::vector<std::string>& problems) {
  Area area;
  if (!read_to_judge(fields, area, problems)) return;
  expect(problems, has_text(area.name()), "the area has no name: give it one");
}

void validate_animal(ByteView fields, std::vector<std::string>& problems) {
  Animal animal;
  if (!read_to_judge(fields, animal, problems)) return;
  expect(problems, has_text(animal.name()),
         "the animal has no name: give a name or a number people call it by");
  expect(problems, !animal.has_pool() || is_usable(animal.pool()),
         "the pool is not a record: choose the pool again");
  expect(problems, !animal.has_head_count() || animal.head_count() >= 1,
         "the head count is 0: a group has at least one head; strike the record when none is left");
  expect(problems, animal.head_count() <= kHeadCountMax, "the head count is not plausible: check the number");
}

void validate_food(ByteView fields, std::vector<std::string>& problems) {
  Food food;
  if (!read_to_judge(fields, food, problems)) return;
  expect(problems, has_text(food.name()), "the food has no name: give it one");
  expect(problems, food.energy_cal_per_g() <= kEnergyCalPerGMax,
         "the energy is more than pure fat has: give it in calories per gram, which is kcal per 100 g times "
         "ten");
  expect(
      problems, food.water_ppm() <= 1'000'000,
      "the water is more than the whole food: give it in parts per million, which is percent times 10,000");
  const std::uint64_t parts = std::uint64_t{food.water_ppm()} + food.protein_ppm() + food.fat_ppm() +
                              food.carbohydrate_ppm() + food.ash_ppm();
  // Tables round each part; sums of up to 101 g per 100 g are printed in them.
  expect(problems, parts <= 1'010'000,
         "water, protein, fat, carbohydrate and ash are more than the whole food: check them against the table");
  expect(problems, food.fibre_ppm() <= 1'000'000, "the fibre is more than the whole food: check the unit");
  expect(problems, food.calcium_ug_per_g() <= 1'000'000 && food.phosphorus_ug_per_g() <= 1'000'000,
         "a mineral is more than the whole food: give micrograms per gram, which is mg per 100 g times ten");
}

}  // namespace wrackline
