// zstd, behind one door.
#pragma once

#include "base/bytes.h"
#include "base/result.h"

namespace wrackline {

Bytes compress(ByteView plain);
// Lengthens what compress() made to at least `size` bytes, by a frame that readers skip (RFC 8878, section 3.1.2).
void append_padding(Bytes& packed, std::size_t size);

// How many bytes the frame says to hold. Errors: kMalformed, also when it does not say.
Result<std::size_t> size_unpacked(ByteView packed);
// Errors: kMalformed; kTooLarge when the frame says, or turns out, to hold more than `plain_max` bytes. The
// size is looked at before any memory is taken.
Result<Bytes> decompress(ByteView packed, std::size_t plain_max);

}  // namespace wrackline
