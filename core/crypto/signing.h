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

// True when `signature` is `key`'s over exactly `text`. False for anything else, malformed keys included.
bool verify_signature(const PublicKey& key, ByteView text, const Signature& signature);

// Where a device keeps its private key: a file (platform-shims/native), a phone's key chain, a browser's
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
