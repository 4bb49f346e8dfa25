#include "support/seeded_keystore.h"

#include <openssl/evp.h>

#include "crypto/sha256.h"

namespace wrackline {

SeededKeystore::SeededKeystore(std::uint64_t seed) {
  Bytes text;
  append_le(text, seed, 8);
  const Hash secret = sha256("test key", text);
  key_ = EVP_PKEY_new_raw_private_key(EVP_PKEY_ED25519, nullptr, secret.data(), secret.size());
}

SeededKeystore::~SeededKeystore() { EVP_PKEY_free(static_cast<EVP_PKEY*>(key_)); }

PublicKey SeededKeystore::public_key() const {
  PublicKey key{};
  std::size_t size = key.size();
  EVP_PKEY_get_raw_public_key(static_cast<EVP_PKEY*>(key_), key.data(), &size);
  return key;
}

Result<Signature> SeededKeystore::sign(ByteView text) {
  Signature signature{};
  std::size_t size = signature.size();
  EVP_MD_CTX* context = EVP_MD_CTX_new();
  const bool ok = EVP_DigestSignInit(context, nullptr, nullptr, nullptr, static_cast<EVP_PKEY*>(key_)) == 1 &&
                  EVP_DigestSign(context, signature.data(), &size,
                                 reinterpret_cast<const unsigned char*>(text.data()), text.size()) == 1;
  EVP_MD_CTX_free(context);
  if (!ok) return fail(ErrorCode::kKeystore, "signing in a test failed");
  return signature;
}

}  // namespace wrackline
