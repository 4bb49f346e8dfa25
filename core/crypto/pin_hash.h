// The hash of a PIN, as it stands in a person's record, and the check of a PIN against it.
//
// The record travels to every replica, into bundles and into evidence, and a PIN is short. So the hash is made with a
// facility's PIN key, which no log holds: whoever has the record alone cannot try PINs. Who has a device's database has
// the key too, and is held up by scrypt's cost only.
#pragma once

#include "base/bytes.h"
#include "base/ids.h"
#include "base/result.h"

namespace wrackline {

// 52 bytes: form (1), log2 of n, r, p, a byte each; salt, 16 bytes; scrypt's output, 32.
// Of `person`, so that a hash copied into another's record opens nothing. Errors: kKeystore, kInternal.
Result<Bytes> make_pin_hash(ByteView pin, RecordId person, ByteView pin_key);

// Errors: kInvalid (another form or cost than this release makes: checked before anything is computed), kInternal.
Result<bool> pin_fits(ByteView pin_hash, ByteView pin, RecordId person, ByteView pin_key);

}  // namespace wrackline
