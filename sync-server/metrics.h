// Counts for an operator's monitoring, in the Prometheus text form. Numbers of requests, bytes and
// connections only: nothing that names a device, a person or a record.
//
// Threads: any.
#pragma once

#include <array>
#include <cstdint>
#include <map>
#include <mutex>
#include <string>
#include <utility>

namespace wrackline {

class Metrics {
 public:
  enum class Counter {
    kConnectionsAccepted,
    kConnectionsTurnedAway,  // Over a limit.
    kConnectionsGaveWay,     // Closed for a newcomer.
    kHandshakesOverQuota,    // Closed before TLS began.
    kHandshakesFailed,
    kRequestsBroken,  // No HTTP, or a deadline passed in the middle.
    kCodesWrong,
    kDevicesAdmitted,
    kSessionsOpened,
    kRateLimited,  // Requests over what a device or an address may ask for in a minute.
    kLast,
  };
  void count(Counter counter);

  // `path` is one of the hub's own, or "other".
  void count_request(const std::string& path, unsigned status, double seconds, std::uint64_t bytes_in,
                     std::uint64_t bytes_out);

  // Figures that are true at the moment of asking.
  struct Now {
    std::size_t connections_open = 0;
    std::size_t sessions_open = 0;
    double certificate_seconds_left = 0;  // Negative once it has expired.
    double uptime_seconds = 0;
  };
  std::string text(const Now& now) const;

 private:
  // Upper bounds of the buckets of request durations, seconds.
  static constexpr std::array<double, 7> kBuckets{0.005, 0.02, 0.1, 0.5, 2, 10, 60};
  struct Durations {
    std::array<std::uint64_t, kBuckets.size()> at_most{};
    std::uint64_t count = 0;
    double sum_seconds = 0;
    std::uint64_t bytes_in = 0;
    std::uint64_t bytes_out = 0;
  };
  mutable std::mutex counting_;  // Over all that follows.
  std::array<std::uint64_t, static_cast<std::size_t>(Counter::kLast)> counters_{};
  std::map<std::pair<std::string, unsigned>, std::uint64_t> requests_;
  std::map<std::string, Durations> durations_;
};

}  // namespace wrackline
