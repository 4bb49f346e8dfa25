// The native crypto door: the only file of the core that includes OpenSSL.
#include <openssl/crypto.h>
#include <openssl/evp.h>
#include <openssl/rand.h>

#include <memory>

#include "crypto/constant_time.h"
#include "crypto/scrypt.h"
#include "crypto/sha256.h"
#include "crypto/signature_equation.h"

namespace wrackline {
namespace {

// One context a thread: making one for each change would cost more than the hash itself.
EVP_MD_CTX* hash_context() {
  struct Owner {
    EVP_MD* md = EVP_MD_fetch(nullptr, "SHA256", nullptr);
    EVP_MD_CTX* context = EVP_MD_CTX_new();
    Owner() {
      if (md == nullptr || context == nullptr) std::abort();  // No SHA-256: nothing here can be trusted.
      EVP_DigestInit_ex2(context, md, nullptr);
    }
    ~Owner() {
      EVP_MD_CTX_free(context);
      EVP_MD_free(md);
    }
  };
  thread_local Owner owner;
  return owner.context;
}

}  // namespace

Hash sha256(ByteView a, ByteView b, ByteView c, ByteView d) {
  EVP_MD_CTX* context = hash_context();
  Hash out;
  bool ok = EVP_DigestInit_ex2(context, nullptr, nullptr) == 1;
  for (ByteView part : {a, b, c, d}) {
    if (!part.empty()) ok = ok && EVP_DigestUpdate(context, part.data(), part.size()) == 1;
  }
  ok = ok && EVP_DigestFinal_ex(context, out.data(), nullptr) == 1;
  if (!ok) std::abort();  // OpenSSL documents no failure here but its own misuse.
  return out;
}

bool signature_equation_holds(const PublicKey& key, ByteView text, const Signature& signature) {
  std::unique_ptr<EVP_PKEY, decltype(&EVP_PKEY_free)> pkey(
      EVP_PKEY_new_raw_public_key(EVP_PKEY_ED25519, nullptr, key.data(), key.size()), EVP_PKEY_free);
  std::unique_ptr<EVP_MD_CTX, decltype(&EVP_MD_CTX_free)> context(EVP_MD_CTX_new(), EVP_MD_CTX_free);
  if (!pkey || !context) return false;
  if (EVP_DigestVerifyInit(context.get(), nullptr, nullptr, nullptr, pkey.get()) != 1) return false;
  return EVP_DigestVerify(context.get(), signature.data(), signature.size(),
                          reinterpret_cast<const unsigned char*>(text.data()), text.size()) == 1;
}

Result<Bytes> random_bytes(std::size_t count) {
  Bytes out(count, '\0');
  if (RAND_bytes(reinterpret_cast<unsigned char*>(out.data()), static_cast<int>(count)) != 1) {
    return fail(ErrorCode::kKeystore, "drawing random bytes: the system has none; nothing was written");
  }
  return out;
}

Result<Bytes> derive_scrypt(ByteView secret, ByteView salt, const ScryptCost& cost, std::size_t size) {
  Bytes out(size, '\0');
  constexpr std::uint64_t kMemoryMax = 128u << 20;  // OpenSSL's own limit is lower, and counts the p blocks as well.
  if (EVP_PBE_scrypt(secret.data(), secret.size(), reinterpret_cast<const unsigned char*>(salt.data()), salt.size(), cost.n,
                     cost.r, cost.p, kMemoryMax, reinterpret_cast<unsigned char*>(out.data()), out.size()) != 1) {
    return fail(ErrorCode::kInternal, "hashing a secret: there is not enough memory; nothing was changed; close something and try again");
  }
  return out;
}

bool equal_in_constant_time(ByteView a, ByteView b) {
  return a.size() == b.size() && CRYPTO_memcmp(a.data(), b.data(), a.size()) == 0;
}

}  // namespace wrackline
