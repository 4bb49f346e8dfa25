#include "model/sign_in_rules.h"

#include "model/read_message.h"
#include "records.pb.h"

namespace wrackline {

std::optional<std::string> pin_problem(ByteView pin, std::size_t least) {
  if (pin.size() < kPinLeast) return "it has fewer than four signs";
  if (pin.size() < least) return "it has fewer than six signs, which it needs for somebody who may do more than a keeper";
  if (pin.size() > 64) return "it is longer than 64 bytes";
  const int step = pin[1] - pin[0];
  bool is_even = true;
  for (std::size_t i = 1; i < pin.size(); ++i) is_even = is_even && pin[i] - pin[i - 1] == step;
  if (is_even && step == 0) return "it is one sign again and again";
  if (is_even && (step == 1 || step == -1)) return "its signs stand in a row";
  return {};
}

SignInPerson sign_in_person(ByteView person_fields) {
  proto::Person person;
  if (!read_message(person_fields, person)) return {};
  return {person.name(), person.pin_set_ms()};
}

SignInPolicy sign_in_policy(ByteView facility_fields) {
  proto::Facility facility;
  SignInPolicy out;
  if (!read_message(facility_fields, facility)) return out;
  if (facility.has_lock_after_min()) out.lock_after_min = facility.lock_after_min();
  out.pin_required = facility.pin_required();
  out.proof_required = facility.proof_required();
  if (facility.has_phone_order_doses()) out.phone_order_doses = facility.phone_order_doses();
  if (facility.has_proof_hours()) out.proof_hours = facility.proof_hours();
  return out;
}

}  // namespace wrackline
