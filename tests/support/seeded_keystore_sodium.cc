// The same keys where there is no OpenSSL (WebAssembly).
#include <sodium/crypto_sign_ed25519.h>

#include <algorithm>

#include "crypto/sha256.h"
#include "support/seeded_keystore.h"

namespace wrackline {
namespace {

struct Pair {
  unsigned char open[crypto_sign_ed25519_PUBLICKEYBYTES];
  unsigned char secret[crypto_sign_ed25519_SECRETKEYBYTES];
};

}  // namespace

SeededKeystore::SeededKeystore(std::uint64_t seed) {
  Bytes text;
  append_le(text, seed, 8);
  const Hash secret = sha256("test key", text);
  auto* pair = new Pair;
  crypto_sign_ed25519_seed_keypair(pair->open, pair->secret, secret.data());
  key_ = pair;
}

SeededKeystore::~SeededKeystore() { delete static_cast<Pair*>(key_); }

PublicKey SeededKeystore::public_key() const {
  PublicKey key{};
  std::copy_n(static_cast<Pair*>(key_)->open, key.size(), key.begin());
  return key;
}

Result<Signature> SeededKeystore::sign(ByteView text) {
  Signature signature{};
  crypto_sign_ed25519_detached(signature.data(), nullptr, reinterpret_cast<const unsigned char*>(text.data()), text.size(),
                               static_cast<Pair*>(key_)->secret);
  return signature;
}

}  // namespace wrackline
