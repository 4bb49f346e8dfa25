// Counts wrong PINs, and makes whoever tries on wait.
//
// A try is counted, durably, before it is judged, so that pulling the plug buys none. After some each further try waits longer, up to
// a quarter of an hour.
//
// Threads: one at a time. Lifetime: the store outlives it.
#pragma once

#include <functional>
#include <string>
#include <utility>

#include "base/bytes.h"
#include "base/ids.h"
#include "base/result.h"
#include "store/store.h"

namespace wrackline {

class WrongPins {
 public:
  WrongPins(Store& store, std::function<WallMs()> wall_clock) : store_(store), wall_clock_(std::move(wall_clock)) {}

  static constexpr std::uint32_t kFreeTries = 3;

  // The key under which the tries of a person's PIN are counted. `asker` names the device that asks a hub, empty for this
  // one: each is counted by itself, so that nobody at one device keeps a person out at another.
  static std::string key(RecordId person, const std::string& asker);

  // Counts a try; `whose` PIN it is says the message. Errors: kRateLimited (wait; the message says how long), kStorage and its kin.
  Status count(const std::string& key, const std::string& whose, std::uint32_t free_tries = kFreeTries);
  // The wrong ones since the last right one.
  struct Run {
    std::uint32_t times = 0;
    WallMs first_ms = 0, last_ms = 0;
  };
  Result<Run> in_a_row(const std::string& key);
  // Within a Write: it was the right one.
  Status forget(const std::string& key) { return store_.set_meta(key, {}); }

 private:
  Store& store_;
  std::function<WallMs()> wall_clock_;
};

}  // namespace wrackline
