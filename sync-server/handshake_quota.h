// How many connections an address may open, one after the other: a TLS handshake costs the hub's network thread more than anything else
// that a stranger can ask for. Each address has a bucket of `burst` tokens that fills by `per_second`; a connection takes one, and where
// there is none it is closed before TLS begins.
//
// Threads: one at a time.
#pragma once

#include <cstdint>
#include <map>
#include <string>

#include "base/ids.h"

namespace wrackline {

struct HandshakeLimit {
  std::uint32_t burst = 0;
  std::uint32_t per_second = 0;  // 0: there is no limit.
};

class HandshakeQuota {
 public:
  // `keys_max` bounds the memory; when so many addresses are active at once, an unknown one is refused.
  explicit HandshakeQuota(const HandshakeLimit& limit, std::size_t keys_max = 10'000) : limit_(limit), keys_max_(keys_max) {}

  // Takes a token. False when there is none. `now` is of a clock that is not set, milliseconds.
  bool take(const std::string& peer_group, WallMs now);
  // True once in a minute for a refused address, when the refusal is to be written down.
  bool is_to_be_told(const std::string& peer_group, WallMs now);

 private:
  struct Bucket {
    double tokens = 0;
    WallMs filled_ms = 0;
    WallMs told_ms = 0;  // 0: never.
  };
  void fill(Bucket& bucket, WallMs now) const;
  void forget_full(WallMs now);
  HandshakeLimit limit_;
  std::size_t keys_max_;
  std::map<std::string, Bucket> buckets_;
};

}  // namespace wrackline
