// Who is asking: challenges for devices that want a session, and the sessions they opened.
//
// A session's token is 256 random bits. Only its hash is kept, so a look into the hub's memory opens nothing,
// and hashes are compared in constant time. Sessions live in memory: after a restart every device opens
// another, which costs it two round trips.
//
// Whether a device is enrolled or revoked is asked of the replica at each request, not here.
//
// Threads: one at a time.
#pragma once

#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "base/bytes.h"
#include "base/ids.h"
#include "base/result.h"
#include "crypto/sha256.h"
#include "crypto/signing.h"

namespace wrackline {

class Sessions {
 public:
  static constexpr WallMs kNonceLifetimeMs = 60 * 1000;
  static constexpr WallMs kLifetimeMs = 12 * 60 * 60 * 1000;
  // For each device; the oldest gives way. The caller challenges enrolled devices only, so memory is bounded
  // by their number.
  static constexpr std::size_t kNoncesPerDeviceMax = 8;
  static constexpr std::size_t kSessionsPerDeviceMax = 8;

  // 32 random bytes for this device to sign. Errors: kKeystore when the system has no randomness.
  Result<Bytes> challenge(const PublicKey& device, WallMs now);

  // True when `nonce` was given to this device less than a minute ago; true only once.
  bool take_nonce(const PublicKey& device, ByteView nonce, WallMs now);

  struct Opened {
    std::string token;  // 64 hexadecimal digits.
    WallMs expires_ms = 0;
  };
  // Errors: kKeystore.
  Result<Opened> open(const PublicKey& device, WallMs now, WallMs lifetime_ms = kLifetimeMs);

  // The device a token belongs to, if its session has not expired.
  std::optional<PublicKey> find(std::string_view token, WallMs now);

  // Ends all sessions of a device that was revoked.
  void end_all_of(const PublicKey& device);

  std::size_t open_count(WallMs now);

 private:
  struct Nonce {
    Bytes bytes;
    WallMs expires_ms;
  };
  struct Session {
    Hash token_hash;
    PublicKey device;
    WallMs expires_ms;
  };
  std::map<PublicKey, std::vector<Nonce>> nonces_;  // Oldest first.
  std::vector<Session> sessions_;                   // Oldest first; tens of devices, so a walk is the index.
};

}  // namespace wrackline
