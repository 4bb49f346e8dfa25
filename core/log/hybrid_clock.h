// The hybrid logical clock (Kulkarni et al. 2014): stamps that never run backwards on one device, follow its
// wall clock, and are later than every stamp the device has seen.
//
// A deviation from the paper: a remote stamp more than kAheadMaxMs ahead of the local wall clock is not
// followed, so one tablet set to 2099 cannot drag the others along. Its changes are taken all the same.
// Stamps order what is shown. Nothing is ever kept or dropped because of a stamp.
#pragma once

#include <cstdint>

#include "base/ids.h"

namespace wrackline {

// Milliseconds since 1970 UTC in the upper 48 bits, a counter in the lower 16.
struct Stamp {
  std::uint64_t value = 0;
  WallMs ms() const { return value >> 16; }
  std::uint32_t counter() const { return value & 0xffff; }
  static Stamp of(WallMs ms, std::uint32_t counter) { return {ms << 16 | counter}; }
  friend bool operator==(Stamp a, Stamp b) { return a.value == b.value; }
  friend bool operator<(Stamp a, Stamp b) { return a.value < b.value; }
};

class HybridClock {
 public:
  static constexpr WallMs kAheadMaxMs = 10 * 60 * 1000;

  // `last` is the latest stamp this device issued or followed before; it survives restarts with the store.
  explicit HybridClock(Stamp last = {}) : last_(last) {}

  // The stamp of a local event at wall time `wall`. Later than every stamp issued or followed before; a full
  // counter carries into the milliseconds.
  Stamp tick(WallMs wall) {
    const Stamp now = Stamp::of(wall, 0);
    last_ = last_ < now ? now : Stamp{last_.value + 1};
    return last_;
  }

  // Takes note of a stamp from elsewhere. Returns false when it lies too far ahead to be followed.
  bool observe(Stamp remote, WallMs wall) {
    if (remote.ms() > wall + kAheadMaxMs) return false;
    if (last_ < remote) last_ = remote;
    return true;
  }

  Stamp last() const { return last_; }

 private:
  Stamp last_;
};

}  // namespace wrackline
