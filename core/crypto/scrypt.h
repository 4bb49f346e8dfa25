// scrypt (RFC 7914): a hash of a short secret that costs memory, so that trying all of them costs money.
#pragma once

#include <cstdint>

#include "base/bytes.h"
#include "base/result.h"

namespace wrackline {

struct ScryptCost {
  std::uint32_t n = 0;  // A power of two greater than 1. Memory is 128 * n * r bytes.
  std::uint32_t r = 0;
  std::uint32_t p = 0;
};

// `size` bytes, of any secret and salt. Errors: kInvalid (a cost outside the RFC, or of more than 64 MiB), kInternal (no memory left).
Result<Bytes> scrypt(ByteView secret, ByteView salt, const ScryptCost& cost, std::size_t size);

// The same of a cost that has been looked at; the crypto door has it.
Result<Bytes> derive_scrypt(ByteView secret, ByteView salt, const ScryptCost& cost, std::size_t size);

// Equal, in a time that tells nothing of where they differ.
bool equal_in_constant_time(ByteView a, ByteView b);

}  // namespace wrackline
