#include "handshake_quota.h"

#include <algorithm>

namespace wrackline {

void HandshakeQuota::fill(Bucket& bucket, WallMs now) const {
  const double elapsed = now > bucket.filled_ms ? static_cast<double>(now - bucket.filled_ms) : 0;
  bucket.tokens = std::min<double>(limit_.burst, bucket.tokens + elapsed * limit_.per_second / 1000);
  bucket.filled_ms = now;
}

void HandshakeQuota::forget_full(WallMs now) {
  for (auto it = buckets_.begin(); it != buckets_.end();) {
    fill(it->second, now);
    it = it->second.tokens >= limit_.burst ? buckets_.erase(it) : std::next(it);
  }
}

bool HandshakeQuota::take(const std::string& peer_group, WallMs now) {
  if (limit_.per_second == 0) return true;
  auto found = buckets_.find(peer_group);
  if (found == buckets_.end()) {
    if (buckets_.size() >= keys_max_) forget_full(now);
    if (buckets_.size() >= keys_max_) return false;
    found = buckets_.emplace(peer_group, Bucket{static_cast<double>(limit_.burst), now, 0}).first;
  }
  fill(found->second, now);
  if (found->second.tokens < 1) return false;
  found->second.tokens -= 1;
  return true;
}

bool HandshakeQuota::is_to_be_told(const std::string& peer_group, WallMs now) {
  const auto found = buckets_.find(peer_group);
  if (found == buckets_.end()) return false;
  Bucket& bucket = found->second;
  if (bucket.told_ms != 0 && now - bucket.told_ms < kMinuteMs) return false;
  bucket.told_ms = std::max<WallMs>(now, 1);
  return true;
}

}  // namespace wrackline
