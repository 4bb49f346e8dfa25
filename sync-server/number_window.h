// This window knows which numbers of a session's requests have come: each is good once, as in the anti-replay window
// of RFC 4303, 3.4.3.
//
// Requests of one session may overtake each other on several connections, so the last kWidth numbers are remembered one by one;
// any that is older is refused. A device that has so many requests on their way at once opens another session.
#pragma once

#include <cstdint>

namespace wrackline {

class NumberWindow {
 public:
  static constexpr std::uint64_t kWidth = 64;

  // True when this number has not come, and is not too old to tell; only once for each. 0 is none.
  bool take(std::uint64_t number) {
    if (number == 0) return false;
    if (number > last_) {
      const std::uint64_t by = number - last_;
      came_ = (by < kWidth ? came_ << by : 0) | 1;
      last_ = number;
      return true;
    }
    const std::uint64_t behind = last_ - number;
    if (behind >= kWidth || (came_ >> behind & 1) != 0) return false;
    came_ |= std::uint64_t{1} << behind;
    return true;
  }

 private:
  std::uint64_t last_ = 0;
  std::uint64_t came_ = 0;  // Bit i: last_ - i has come.
};

}  // namespace wrackline
