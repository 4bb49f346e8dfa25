// Ed25519 (RFC 8032): who sealed what. The core verifies; it never holds a private key.
//
// Every text that is signed begins with a name of its purpose, so that a signature made for one purpose can
// never be shown as one for another.
#pragma once

#include <array>

#include "base/bytes.h"
#include "base/result.h"

namespace wrackline {

using PublicKey = std::array<unsigned char, 32>;
using Signature = std::array<unsigned char, 64>;

// Whether these bytes may be somebody's key: y is below p (RFC 8032, section 5.1.3), and the point is none of the eight of
// small order, under which anybody can make signatures that fit every text. Whether there is such a point is not asked: for
// bytes that are none no signature is good.
bool is_sound_key(const PublicKey& key);

// True when `signature` is `key`'s over exactly `text`. False for anything else, malformed keys included. One rule for all
// platforms, since libraries differ at the edges and a seal that one takes must not be an altered one to another: the key
// A is sound, R is as sound as a key must be, S < L, and S B = R + h A without the cofactor (RFC 8032, section 5.1.7, which
// leaves the last to the implementer; Chalkias, Garillot, Nikolaenko, "Taming the many EdDSAs", 2020, tells of the rest).
bool verify_signature(const PublicKey& key, ByteView text, const Signature& signature);

// Where a device keeps its private key: a file (platform-shims/hosts), a phone's key chain, a browser's
// WebCrypto. Implementations are used from one thread at a time and outlive the replica they serve.
class Keystore {
 public:
  virtual ~Keystore() = default;
  virtual PublicKey public_key() const = 0;
  // Errors: kKeystore.
  virtual Result<Signature> sign(ByteView text) = 0;
};

// Cryptographically secure random bytes from the system. Errors: kKeystore, when the system has none to give;
// there is no weaker source to fall back to.
Result<Bytes> random_bytes(std::size_t count);

}  // namespace wrackline
