// This file says what the records say of signing in: what may be a PIN, since when somebody has theirs, when a device locks. Pure; the hashes are
// crypto/pin_hash.h, the sessions replica/sign_in.h, the hub's check replica/pins.h.
#pragma once

#include <cstdint>
#include <optional>
#include <string>

#include "base/bytes.h"

namespace wrackline {

// Field of the message Person: since when they have the PIN they have.
inline constexpr std::uint32_t kPinSetField = 4;
// The time at which somebody gave them a one-time code to choose one with.
inline constexpr std::uint32_t kPinCodeField = 5;

// A PIN has so many signs at least; the second for people who may do more than a keeper.
inline constexpr std::size_t kPinLeast = 4, kPinLeastOfMore = 6;

// Says what is wrong with a PIN, as the middle of a sentence; none for one that will do: `least` to 64 bytes, not one sign again and
// again, not signs in a row. Letters will do; tablets show digits.
std::optional<std::string> pin_problem(ByteView pin, std::size_t least = kPinLeast);

struct SignInPerson {
  Bytes name;
  std::uint64_t pin_set_ms = 0;  // The hub's clock at that time; 0: they have no PIN.
};
// Reads a person's merged fields.
SignInPerson sign_in_person(ByteView person_fields);

struct SignInPolicy {
  std::uint32_t lock_after_min = 10;
  bool pin_required = false;
  bool proof_required = false;
  std::uint32_t proof_hours = 12;
  std::uint32_t phone_order_doses = 1;
};
// Reads a facility's merged fields; a rule that it does not state keeps the value above.
SignInPolicy sign_in_policy(ByteView facility_fields);

}  // namespace wrackline
