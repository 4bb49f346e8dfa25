// zstd, behind one door.
#pragma once

#include "base/bytes.h"
#include "base/result.h"

namespace wrackline {

Bytes compress(ByteView plain);

// Errors: kMalformed; kTooLarge when the frame says, or turns out, to hold more than `plain_max` bytes. The
// size is looked at before any memory is taken.
Result<Bytes> decompress(ByteView packed, std::size_t plain_max);

}  // namespace wrackline
