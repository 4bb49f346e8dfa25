// Stands for the key of a database's owner where it is not needed, or not there any more: records can be read
// with it, and nothing sealed.
#pragma once

#include "crypto/signing.h"

namespace wrackline {

class NoKey : public Keystore {
 public:
  explicit NoKey(const PublicKey& key) : key_(key) {}
  PublicKey public_key() const override { return key_; }
  Result<Signature> sign(ByteView) override {
    return fail(ErrorCode::kKeystore, "signing for the hub: its key is not at hand; nothing was signed");
  }

 private:
  PublicKey key_;
};

}  // namespace wrackline
