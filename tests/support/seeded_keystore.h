// A keystore in memory whose key comes from a number: tests know it, nothing else uses it.
#pragma once

#include <cstdint>
#include <memory>

#include "crypto/signing.h"

namespace wrackline {

class SeededKeystore : public Keystore {
 public:
  explicit SeededKeystore(std::uint64_t seed);
  SeededKeystore(const SeededKeystore&) = delete;
  SeededKeystore& operator=(const SeededKeystore&) = delete;
  ~SeededKeystore() override;
  PublicKey public_key() const override;
  Result<Signature> sign(ByteView text) override;

 private:
  void* key_;  // EVP_PKEY, or libsodium's pair
};

}  // namespace wrackline
