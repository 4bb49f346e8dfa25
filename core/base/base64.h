// Base 64 as RFC 4648 section 4 says: with padding, without line breaks.
#pragma once

#include <optional>

#include "base/bytes.h"

namespace wrackline {

Bytes to_base64(ByteView bytes);
// None for anything that to_base64() would not have written: other letters, wrong length, bits left over.
std::optional<Bytes> from_base64(ByteView text);

}  // namespace wrackline
