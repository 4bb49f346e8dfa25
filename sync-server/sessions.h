// This file finds out who is asking: challenges for devices that want a session, and the sessions they
// opened.
//
// A challenge (32 bytes: when it was made, 8 random bytes, the first half of an HMAC-SHA-256 over device, time and random bytes) is
// not kept, only known again by the secret of this process. So whoever asks for challenges in another device's name, whose public
// key is no secret, pushes none of that device's out. Kept are those that a device has answered, until they would be too old.
//
// A session's token is 256 random bits. Only its hash is kept, and hashes are compared in constant time. The token alone opens
// nothing: each request is signed with the device's key and numbered (sync/hub_session.h). Sessions live in memory: after a
// restart every device opens another, which costs it two round trips.
//
// Whether a device is enrolled or revoked is asked of the replica at each request, not here.
//
// Threads: one at a time.
#pragma once

#include <optional>
#include <set>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "base/bytes.h"
#include "base/ids.h"
#include "base/result.h"
#include "crypto/sha256.h"
#include "crypto/signing.h"
#include "number_window.h"
#include "sync/hub_session.h"

namespace wrackline {

class Sessions {
 public:
  static constexpr WallMs kNonceLifetimeMs = 60 * 1000;
  static constexpr WallMs kLifetimeMs = 12 * 60 * 60 * 1000;
  // One that is not used for so long ends before. A tablet that is on asks for news all the time.
  static constexpr WallMs kIdleMs = 60 * 60 * 1000;
  // For each device; the oldest gives way.
  static constexpr std::size_t kSessionsPerDeviceMax = 8;

  // 32 bytes for this device to sign. Errors: kKeystore when the system has no randomness.
  Result<Bytes> challenge(const PublicKey& device, WallMs now);

  // True when `nonce` was given to this device less than a minute ago; true only once. To be asked when the device's signature is
  // known to be right: memory is then bounded by what enrolled devices sign in a minute.
  bool take_nonce(const PublicKey& device, ByteView nonce, WallMs now);

  struct Opened {
    std::string token;  // 64 hexadecimal digits.
    WallMs expires_ms = 0;
  };
  // Errors: kKeystore.
  Result<Opened> open(const PublicKey& device, WallMs now, WallMs lifetime_ms = kLifetimeMs);

  // The device whose session this request is in, if the session has not ended, the device signed the request, and it is the first
  // with its number. The session is used by it.
  std::optional<PublicKey> find(const FacilityId& facility, const RequestAuthorization& authorization, const RequestHead& head, WallMs now);

  // Ends all sessions of a device that was revoked.
  void end_all_of(const PublicKey& device);

  std::size_t open_count(WallMs now);

 private:
  struct Session {
    Hash token_hash;
    PublicKey device;
    WallMs expires_ms;
    WallMs used_ms;
    NumberWindow asked = {};
    bool is_open(WallMs now) const { return expires_ms > now && now < used_ms + kIdleMs; }
  };
  Bytes secret_;                          // Made when it is needed first.
  std::set<std::pair<WallMs, Bytes>> answered_;  // The order is that of their making.
  std::vector<Session> sessions_;         // Oldest first; tens of devices, so a walk is the index.
};

}  // namespace wrackline
