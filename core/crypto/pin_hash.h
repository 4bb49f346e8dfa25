// Hashes of PINs, and the check of a PIN against one.
//
// A PIN is short, so whoever holds its hash and all that goes into it tries all PINs in hours. So neither of the two kinds of hash
// stands in a record. The hub's stays at the hub (store/hub_secrets.h) and is made with a key that only hubs have. A device's is there
// to sign in without the hub; it is made with a signature by the device's key, so that whoever copied the database and cannot
// sign as the device has nothing to try PINs against.
#pragma once

#include "base/bytes.h"
#include "base/ids.h"
#include "base/result.h"
#include "crypto/signing.h"

namespace wrackline {

// The hub's: 52 bytes: form (1), log2 of n, r, p, a byte each; salt, 16 bytes; scrypt's output, 32.
// It is made with `person`, so that a hash copied to another opens nothing. Errors: kKeystore, kInternal.
Result<Bytes> make_pin_hash(ByteView pin, RecordId person, ByteView pin_key);

// Errors: kInvalid (another form or cost than this release makes: checked before anything is computed), kInternal.
Result<bool> pin_fits(ByteView pin_hash, ByteView pin, RecordId person, ByteView pin_key);

// A device's: 49 bytes: form (1), salt, 16 bytes; output, 32. Form 2 is for keystores that make another signature each time: a
// secret of 32 bytes stands before the output, in the signature's place: whoever reads the database then has all it takes.
// Errors: as above.
Result<Bytes> make_device_pin_hash(ByteView pin, RecordId person, Keystore& keystore);
Result<bool> device_pin_fits(ByteView pin_hash, ByteView pin, RecordId person, Keystore& keystore);

}  // namespace wrackline
