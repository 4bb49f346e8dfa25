#include "attempt_limiter.h"

namespace wrackline {

void AttemptLimiter::forget_old(WallMs now) {
  for (auto it = wrong_tries_.begin(); it != wrong_tries_.end();) {
    auto& times = it->second;
    // A time in the future is a clock that was set back; keeping it would lock an address out for ever.
    while (!times.empty() && (times.front() > now || now - times.front() >= options_.span_ms))
      times.pop_front();
    it = times.empty() ? wrong_tries_.erase(it) : std::next(it);
  }
}

WallMs AttemptLimiter::wait_ms(const std::string& address, WallMs now) {
  forget_old(now);
  const auto found = wrong_tries_.find(address);
  if (found == wrong_tries_.end())
    return wrong_tries_.size() >= options_.addresses_max ? options_.span_ms : 0;
  const auto& times = found->second;
  if (times.size() < options_.tries_max) return 0;
  return times[times.size() - options_.tries_max] + options_.span_ms - now;
}

void AttemptLimiter::note_wrong_try(const std::string& address, WallMs now) {
  wrong_tries_[address].push_back(now);
}

}  // namespace wrackline
