// The crypto door where there is no OpenSSL: WebAssembly, with libsodium. The same functions as openssl.cc; the same
// tests run on both.
#include <sodium/crypto_hash_sha256.h>
#include <sodium/crypto_pwhash_scryptsalsa208sha256.h>
#include <sodium/crypto_sign_ed25519.h>
#include <sodium/utils.h>
#include <unistd.h>

#include "crypto/constant_time.h"
#include "crypto/scrypt.h"
#include "crypto/sha256.h"
#include "crypto/signature_equation.h"

namespace wrackline {
namespace {

const unsigned char* bytes_of(ByteView bytes) { return reinterpret_cast<const unsigned char*>(bytes.data()); }

}  // namespace

Hash sha256(ByteView a, ByteView b, ByteView c, ByteView d) {
  crypto_hash_sha256_state state;
  crypto_hash_sha256_init(&state);
  for (ByteView part : {a, b, c, d}) {
    if (!part.empty()) crypto_hash_sha256_update(&state, bytes_of(part), part.size());
  }
  Hash out;
  crypto_hash_sha256_final(&state, out.data());
  return out;
}

bool signature_equation_holds(const PublicKey& key, ByteView text, const Signature& signature) {
  return crypto_sign_ed25519_verify_detached(signature.data(), bytes_of(text), text.size(), key.data()) == 0;
}

Result<Bytes> random_bytes(std::size_t count) {
  Bytes out(count, '\0');
  constexpr std::size_t kAtOnce = 256;  // getentropy gives no more.
  for (std::size_t done = 0; done < count; done += kAtOnce) {
    if (getentropy(out.data() + done, count - done < kAtOnce ? count - done : kAtOnce) != 0) {
      return fail(ErrorCode::kKeystore, "drawing random bytes: the system has none; nothing was written");
    }
  }
  return out;
}

Result<Bytes> derive_scrypt(ByteView secret, ByteView salt, const ScryptCost& cost, std::size_t size) {
  Bytes out(size, '\0');
  if (crypto_pwhash_scryptsalsa208sha256_ll(bytes_of(secret), secret.size(), bytes_of(salt), salt.size(), cost.n, cost.r,
                                            cost.p, reinterpret_cast<unsigned char*>(out.data()), out.size()) != 0) {
    return fail(ErrorCode::kInternal, "hashing a secret: there is not enough memory; nothing was changed; close something and try again");
  }
  return out;
}

bool equal_in_constant_time(ByteView a, ByteView b) {
  return a.size() == b.size() && sodium_memcmp(a.data(), b.data(), a.size()) == 0;
}

}  // namespace wrackline
