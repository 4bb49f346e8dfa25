// Changes messages by what they are made of: fields, their numbers, values, lengths and order, on every level. Bytes that are no
// message are changed one by one.
#pragma once

#include "base/bytes.h"
#include "support/random.h"

namespace wrackline::fuzz {

// Bits flipped, bytes put in, taken out, moved, or made the numbers at which things turn.
Bytes mutate_bytes(ByteView bytes, Random& random);

// One change to a message or to one inside it. Mostly still a message.
Bytes mutate_message(ByteView message, Random& random);

// Zero, one, limits of the types and of ours, or anything.
std::uint64_t odd_number(Random& random);

}  // namespace wrackline::fuzz
