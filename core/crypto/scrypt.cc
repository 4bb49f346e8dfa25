#include "crypto/scrypt.h"

namespace wrackline {

Result<Bytes> scrypt(ByteView secret, ByteView salt, const ScryptCost& cost, std::size_t size) {
  constexpr std::uint64_t kMemoryMax = 64u << 20;
  const bool is_power = cost.n > 1 && (cost.n & (cost.n - 1)) == 0;
  if (!is_power || cost.r == 0 || cost.p == 0 || cost.p > 64 || std::uint64_t{128} * cost.n * cost.r > kMemoryMax) {
    return fail(ErrorCode::kInvalid, "hashing a secret: its cost is not one that this release can pay; nothing was changed; give a new secret");
  }
  return derive_scrypt(secret, salt, cost, size);
}

}  // namespace wrackline
