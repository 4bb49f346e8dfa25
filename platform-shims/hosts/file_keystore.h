// A device key in a file: Ed25519 as unencrypted PEM (PKCS #8), readable by its owner alone.
//
// The file's mode and the disk's encryption keep the key. Whoever can read the file can seal changes as this
// device, until an admin revokes it; a platform with a real key store should use that instead.
//
// Threads: one at a time.
#pragma once

#include <memory>
#include <string>

#include "crypto/signing.h"

namespace wrackline {

class FileKeystore : public Keystore {
 public:
  // Makes a new key, durable when this returns. Never writes over a file.
  // Errors: kInvalid when the file exists; kKeystore, kDiskFull, kReadOnly, kStorage.
  static Result<std::unique_ptr<FileKeystore>> create(const std::string& path);

  // Errors: kNotFound; kKeystore when other users may read the file or it holds no Ed25519 key; kStorage.
  static Result<std::unique_ptr<FileKeystore>> open(const std::string& path);

  ~FileKeystore() override;
  PublicKey public_key() const override;
  Result<Signature> sign(ByteView text) override;

 private:
  struct Key;  // Holds OpenSSL's form of it, which is wiped when it is freed.
  explicit FileKeystore(std::unique_ptr<Key> key);
  static Result<std::unique_ptr<FileKeystore>> of_key(std::unique_ptr<Key> key, const std::string& path);
  std::unique_ptr<Key> key_;
  PublicKey public_key_{};
};

}  // namespace wrackline
