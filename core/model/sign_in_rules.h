// What the records say of signing in: what may be a PIN, where its hash stands, when a device locks. Pure; the hash itself
// is crypto/pin_hash.h, the sessions are replica/sign_in.h.
#pragma once

#include <cstdint>
#include <optional>
#include <string>

#include "base/bytes.h"

namespace wrackline {

// Field of the message Person: the hash of their PIN.
inline constexpr std::uint32_t kPinField = 3;

// A PIN has so many signs at least; the second, where the facility asks for proofs, for people who may do more than a keeper. Somebody
// who has a device (crypto/pin_hash.h) tries out four digits in about an hour on one core, and so six in about five days.
inline constexpr std::size_t kPinLeast = 4, kProvingPinLeast = 6;

// Says what is wrong with a PIN, as the middle of a sentence; none for one that will do: `least` to 64 bytes, not one sign again and
// again, not signs in a row. Letters will do; tablets show digits.
std::optional<std::string> pin_problem(ByteView pin, std::size_t least = kPinLeast);

struct SignInPerson {
  Bytes name;
  Bytes pin_hash;  // Empty: they have no PIN.
};
// Of a person's merged fields.
SignInPerson sign_in_person(ByteView person_fields);

struct SignInPolicy {
  std::uint32_t lock_after_min = 10;
  bool pin_required = false;
  bool proof_required = false;
  std::uint32_t proof_hours = 12;
};
// Of a facility's merged fields; what it does not say is as above.
SignInPolicy sign_in_policy(ByteView facility_fields);

}  // namespace wrackline
