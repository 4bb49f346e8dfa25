// SHA-256 (FIPS 180-4).
#pragma once

#include <array>

#include "base/bytes.h"

namespace wrackline {

using Hash = std::array<unsigned char, 32>;

// The digest of the parts one after the other, as if they were one run of bytes.
Hash sha256(ByteView a, ByteView b = {}, ByteView c = {}, ByteView d = {});

// The first 4 and 8 bytes, little-endian: short names of a hash for the wire.
inline std::uint32_t first4(const Hash& hash) { return static_cast<std::uint32_t>(load_le(view(hash).substr(0, 4))); }
inline std::uint64_t first8(const Hash& hash) { return load_le(view(hash).substr(0, 8)); }

}  // namespace wrackline
