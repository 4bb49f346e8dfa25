#include "sessions.h"

#include <openssl/evp.h>
#include <openssl/hmac.h>

#include <algorithm>

#include "crypto/constant_time.h"

namespace wrackline {
namespace {

constexpr std::size_t kNonceTimeBytes = 8, kNonceRandomBytes = 8, kNonceMacBytes = 16;
constexpr std::size_t kNonceSaidBytes = kNonceTimeBytes + kNonceRandomBytes;
constexpr std::size_t kNonceBytes = kNonceSaidBytes + kNonceMacBytes;
constexpr std::size_t kSecretBytes = 32;
constexpr std::size_t kTokenBytes = 32;

Bytes mac_of(ByteView secret, const PublicKey& device, ByteView said) {
  const Bytes text = Bytes(view(device)) + Bytes(said);
  unsigned char out[EVP_MAX_MD_SIZE];
  unsigned int size = 0;
  if (HMAC(EVP_sha256(), secret.data(), static_cast<int>(secret.size()), reinterpret_cast<const unsigned char*>(text.data()), text.size(), out, &size) ==
          nullptr ||
      size < kNonceMacBytes) {
    return {};
  }
  return Bytes(reinterpret_cast<const char*>(out), kNonceMacBytes);
}

Hash hash_of(std::string_view token) { return sha256("wrackline/session-token/1", token); }

}  // namespace

Result<Bytes> Sessions::challenge(const PublicKey& device, WallMs now) {
  if (secret_.empty()) {
    WRACKLINE_TRY_VALUE(secret, random_bytes(kSecretBytes));
    secret_ = std::move(secret);
  }
  WRACKLINE_TRY_VALUE(random, random_bytes(kNonceRandomBytes));
  Bytes nonce;
  append_le(nonce, now, kNonceTimeBytes);
  nonce += random;
  return nonce + mac_of(secret_, device, nonce);
}

bool Sessions::take_nonce(const PublicKey& device, ByteView nonce, WallMs now) {
  if (secret_.empty() || nonce.size() != kNonceBytes) return false;
  const ByteView said = nonce.substr(0, kNonceSaidBytes);
  if (!equal_in_constant_time(nonce.substr(kNonceSaidBytes), mac_of(secret_, device, said))) return false;
  const WallMs made = load_le(said.substr(0, kNonceTimeBytes));
  // One of before the clock was put back is as good as one from now.
  if (now >= kNonceLifetimeMs) answered_.erase(answered_.begin(), answered_.lower_bound({now - kNonceLifetimeMs + 1, {}}));
  if (now >= made + kNonceLifetimeMs) return false;
  return answered_.emplace(made, Bytes(nonce)).second;
}

Result<Sessions::Opened> Sessions::open(const PublicKey& device, WallMs now, WallMs lifetime_ms) {
  WRACKLINE_TRY_VALUE(bytes, random_bytes(kTokenBytes));
  std::erase_if(sessions_, [&](const Session& session) { return !session.is_open(now); });
  const auto is_of_device = [&](const Session& session) { return session.device == device; };
  if (std::count_if(sessions_.begin(), sessions_.end(), is_of_device) >=
      static_cast<std::ptrdiff_t>(kSessionsPerDeviceMax))
    sessions_.erase(std::find_if(sessions_.begin(), sessions_.end(), is_of_device));
  Opened opened{to_hex(bytes), now + lifetime_ms};
  sessions_.push_back({hash_of(opened.token), device, opened.expires_ms, now});
  return opened;
}

std::optional<PublicKey> Sessions::find(const FacilityId& facility, const RequestAuthorization& authorization, const RequestHead& head,
                                        WallMs now) {
  const Hash hash = hash_of(authorization.token);
  // All are compared, wherever the right one stands.
  Session* found = nullptr;
  for (Session& session : sessions_) {
    if (equal_in_constant_time(view(session.token_hash), view(hash)) && session.is_open(now)) found = &session;
  }
  if (found == nullptr) return std::nullopt;
  const Bytes text = request_text(facility, authorization.token, authorization.number, head, authorization.body);
  // A number is used up by its device alone.
  if (!verify_signature(found->device, text, authorization.signature) || !found->asked.take(authorization.number)) return std::nullopt;
  found->used_ms = std::max(found->used_ms, now);
  return found->device;
}

void Sessions::end_all_of(const PublicKey& device) {
  std::erase_if(sessions_, [&](const Session& session) { return session.device == device; });
}

std::size_t Sessions::open_count(WallMs now) {
  return static_cast<std::size_t>(std::count_if(sessions_.begin(), sessions_.end(),
                                                [&](const Session& s) { return s.is_open(now); }));
}

}  // namespace wrackline
