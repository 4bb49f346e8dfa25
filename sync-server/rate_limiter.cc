#include "rate_limiter.h"

#include <algorithm>
#include <cmath>

namespace wrackline {
namespace {

constexpr double kMsInMinute = 60'000;

}  // namespace

void RateLimiter::fill(Bucket& bucket, WallMs now) const {
  // A clock set back adds nothing and takes nothing.
  const double elapsed = now > bucket.filled_ms ? static_cast<double>(now - bucket.filled_ms) : 0;
  bucket.filled_ms = now;
  const double requests = limit_.requests_per_minute, bytes = static_cast<double>(limit_.bytes_per_minute),
               work_ms = limit_.work_ms_per_minute;
  bucket.requests = std::min(requests, bucket.requests + elapsed * requests / kMsInMinute);
  bucket.bytes = std::min(bytes, bucket.bytes + elapsed * bytes / kMsInMinute);
  bucket.work_ms = std::min(work_ms, bucket.work_ms + elapsed * work_ms / kMsInMinute);
}

void RateLimiter::forget_full(WallMs now) {
  for (auto it = buckets_.begin(); it != buckets_.end();) {
    Bucket& bucket = it->second;
    fill(bucket, now);
    const bool is_full = bucket.requests >= limit_.requests_per_minute &&
                         bucket.bytes >= static_cast<double>(limit_.bytes_per_minute) &&
                         bucket.work_ms >= limit_.work_ms_per_minute;
    it = is_full ? buckets_.erase(it) : std::next(it);
  }
}

WallMs RateLimiter::wait(const Bucket& bucket, double requests) const {
  const auto minutes_until = [](double needed, double has, double per_minute) {
    return per_minute == 0 || has >= needed ? 0.0 : (needed - has) / per_minute;
  };
  const double lack = std::max({minutes_until(requests, bucket.requests, limit_.requests_per_minute),
                                minutes_until(0, bucket.bytes, static_cast<double>(limit_.bytes_per_minute)),
                                minutes_until(0, bucket.work_ms, limit_.work_ms_per_minute)});
  return static_cast<WallMs>(std::ceil(lack * kMsInMinute));
}

WallMs RateLimiter::overdrawn(const std::string& key, WallMs now) {
  const auto found = buckets_.find(key);
  if (found == buckets_.end()) return 0;
  fill(found->second, now);
  return wait(found->second, 0);
}

WallMs RateLimiter::take(const std::string& key, WallMs now) {
  auto found = buckets_.find(key);
  if (found == buckets_.end()) {
    if (buckets_.size() >= keys_max_) forget_full(now);
    if (buckets_.size() >= keys_max_) return static_cast<WallMs>(kMsInMinute);
    found = buckets_
                .emplace(key, Bucket{static_cast<double>(limit_.requests_per_minute),
                                     static_cast<double>(limit_.bytes_per_minute),
                                     static_cast<double>(limit_.work_ms_per_minute), now})
                .first;
  }
  Bucket& bucket = found->second;
  fill(bucket, now);
  const WallMs waits = wait(bucket, 1);
  if (waits > 0) return waits;
  bucket.requests -= 1;
  return 0;
}

void RateLimiter::note_cost(const std::string& key, std::uint64_t bytes, double work_ms) {
  const auto found = buckets_.find(key);
  if (found == buckets_.end()) return;
  found->second.bytes -= static_cast<double>(bytes);
  found->second.work_ms -= work_ms;
}

}  // namespace wrackline
