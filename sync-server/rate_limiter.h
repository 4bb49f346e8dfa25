// How much one device or one address may ask for in a minute: requests, bytes, and time of the thread that works for
// the hub. Generous: it is there so that a device gone wild cannot keep the hub from the others, not to slow anybody's work.
//
// Buckets for each key hold a minute's worth and fill steadily. A request needs buckets that are not
// empty; what it turns out to cost is taken out afterwards, so one large page may overdraw them and the next
// one waits.
//
// Threads: one at a time.
#pragma once

#include <map>
#include <string>

#include "base/ids.h"

namespace wrackline {

// In each of these, 0 means that it is not limited.
struct RateLimit {
  std::uint32_t requests_per_minute = 0;
  std::uint64_t bytes_per_minute = 0;    // In and out together.
  std::uint32_t work_ms_per_minute = 0;  // Counted on a steady clock.
};

class RateLimiter {
 public:
  // `keys_max` bounds the memory; when so many are active at once, an unknown one waits.
  explicit RateLimiter(const RateLimit& limit, std::size_t keys_max = 10'000)
      : limit_(limit), keys_max_(keys_max) {}

  // Takes one request. Returns 0 when it may go on, or how long to wait, milliseconds; then nothing was
  // taken.
  WallMs take(const std::string& key, WallMs now);
  // How long to wait for what earlier requests have overdrawn, milliseconds; 0 when nothing is. Takes nothing.
  WallMs overdrawn(const std::string& key, WallMs now);
  void note_cost(const std::string& key, std::uint64_t bytes, double work_ms);

 private:
  struct Bucket {
    double requests = 0;
    double bytes = 0;  // Negative when overdrawn.
    double work_ms = 0;  // The same.
    WallMs filled_ms = 0;
  };
  void fill(Bucket& bucket, WallMs now) const;
  WallMs wait(const Bucket& bucket, double requests) const;
  void forget_full(WallMs now);
  RateLimit limit_;
  std::size_t keys_max_;
  std::map<std::string, Bucket> buckets_;
};

}  // namespace wrackline
