#include "sessions.h"

#include <openssl/crypto.h>

#include <algorithm>

namespace wrackline {
namespace {

constexpr std::size_t kNonceBytes = 32;
constexpr std::size_t kTokenBytes = 32;

Hash hash_of(std::string_view token) { return sha256("wrackline/session-token/1", token); }

bool equal_in_constant_time(ByteView a, ByteView b) {
  return a.size() == b.size() && CRYPTO_memcmp(a.data(), b.data(), a.size()) == 0;
}

}  // namespace

Result<Bytes> Sessions::challenge(const PublicKey& device, WallMs now) {
  WRACKLINE_TRY_VALUE(bytes, random_bytes(kNonceBytes));
  auto& nonces = nonces_[device];
  std::erase_if(nonces, [&](const Nonce& nonce) { return nonce.expires_ms <= now; });
  if (nonces.size() >= kNoncesPerDeviceMax) nonces.erase(nonces.begin());
  nonces.push_back({bytes, now + kNonceLifetimeMs});
  return bytes;
}

bool Sessions::take_nonce(const PublicKey& device, ByteView nonce, WallMs now) {
  const auto found = nonces_.find(device);
  if (found == nonces_.end()) return false;
  auto& nonces = found->second;
  const auto it = std::find_if(nonces.begin(), nonces.end(), [&](const Nonce& candidate) {
    return equal_in_constant_time(candidate.bytes, nonce);
  });
  if (it == nonces.end()) return false;
  const bool is_fresh = it->expires_ms > now;
  nonces.erase(it);
  if (nonces.empty()) nonces_.erase(found);
  return is_fresh;
}

Result<Sessions::Opened> Sessions::open(const PublicKey& device, WallMs now, WallMs lifetime_ms) {
  WRACKLINE_TRY_VALUE(bytes, random_bytes(kTokenBytes));
  std::erase_if(sessions_, [&](const Session& session) { return session.expires_ms <= now; });
  const auto is_of_device = [&](const Session& session) { return session.device == device; };
  if (std::count_if(sessions_.begin(), sessions_.end(), is_of_device) >=
      static_cast<std::ptrdiff_t>(kSessionsPerDeviceMax))
    sessions_.erase(std::find_if(sessions_.begin(), sessions_.end(), is_of_device));
  Opened opened{to_hex(bytes), now + lifetime_ms};
  sessions_.push_back({hash_of(opened.token), device, opened.expires_ms});
  return opened;
}

std::optional<PublicKey> Sessions::find(std::string_view token, WallMs now) {
  if (token.size() != kTokenBytes * 2) return std::nullopt;
  const Hash hash = hash_of(token);
  // All are compared, wherever the right one stands.
  const Session* found = nullptr;
  for (const Session& session : sessions_) {
    if (equal_in_constant_time(view(session.token_hash), view(hash)) && session.expires_ms > now)
      found = &session;
  }
  if (found == nullptr) return std::nullopt;
  return found->device;
}

void Sessions::end_all_of(const PublicKey& device) {
  std::erase_if(sessions_, [&](const Session& session) { return session.device == device; });
  nonces_.erase(device);
}

std::size_t Sessions::open_count(WallMs now) {
  return static_cast<std::size_t>(std::count_if(sessions_.begin(), sessions_.end(),
                                                [&](const Session& s) { return s.expires_ms > now; }));
}

}  // namespace wrackline
