// How much one device or one address may ask for in a minute. Generous: it is there so that a device gone
// wild cannot keep the hub from the others, not to slow anybody's work.
//
// A bucket for each key holds a minute's worth and fills steadily. A request needs a bucket that is not
// empty; what it turns out to cost is taken out afterwards, so one large page may overdraw it and the next
// one waits.
//
// Threads: one at a time.
#pragma once

#include <map>
#include <string>

#include "base/ids.h"

namespace wrackline {

struct RateLimit {
  std::uint32_t requests_per_minute = 0;
  std::uint64_t bytes_per_minute = 0;  // In and out together.
};

class RateLimiter {
 public:
  // `keys_max` bounds the memory; when so many are active at once, an unknown one waits.
  explicit RateLimiter(const RateLimit& limit, std::size_t keys_max = 10'000)
      : limit_(limit), keys_max_(keys_max) {}

  // Takes one request. Returns 0 when it may go on, or how long to wait, milliseconds; then nothing was
  // taken.
  WallMs take(const std::string& key, WallMs now);
  void note_bytes(const std::string& key, std::uint64_t bytes);

 private:
  struct Bucket {
    double requests = 0;
    double bytes = 0;  // Negative when overdrawn.
    WallMs filled_ms = 0;
  };
  void fill(Bucket& bucket, WallMs now) const;
  void forget_full(WallMs now);
  RateLimit limit_;
  std::size_t keys_max_;
  std::map<std::string, Bucket> buckets_;
};

}  // namespace wrackline
