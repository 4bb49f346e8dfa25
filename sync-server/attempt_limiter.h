// Slows down guessing: so many wrong tries for each address in a span of time, then none for a while.
//
// Threads: one at a time.
#pragma once

#include <deque>
#include <map>
#include <string>

#include "base/ids.h"

namespace wrackline {

class AttemptLimiter {
 public:
  struct Options {
    std::size_t tries_max = 5;
    WallMs span_ms = 10 * 60 * 1000;
    // Addresses remembered. When so many have failed at once, everyone waits: a flood must not make us
    // forget.
    std::size_t addresses_max = 10'000;
  };
  AttemptLimiter() : AttemptLimiter(Options{}) {}
  explicit AttemptLimiter(const Options& options) : options_(options) {}

  // How long `address` must wait before its next try, milliseconds; 0 = it may try now.
  WallMs wait_ms(const std::string& address, WallMs now);
  void note_wrong_try(const std::string& address, WallMs now);

 private:
  void forget_old(WallMs now);
  Options options_;
  std::map<std::string, std::deque<WallMs>> wrong_tries_;  // When, oldest first.
};

}  // namespace wrackline
