// Somebody who asks the hub again and again whether it is well, each time by a new connection, while a test does what it does.
#pragma once

#include <atomic>
#include <cstdint>
#include <mutex>
#include <string>
#include <thread>
#include <vector>

namespace wrackline {

class HealthWatch {
 public:
  explicit HealthWatch(std::uint16_t port);
  HealthWatch(const HealthWatch&) = delete;
  HealthWatch& operator=(const HealthWatch&) = delete;
  ~HealthWatch();  // Adds what it saw to the figures of this process, under the running test's name.

  // The figures of all watches, in words; one line for all and one for the slowest test.
  static std::string figures();

 private:
  void watch();

  const std::uint16_t port_;
  std::string test_;
  std::atomic<bool> is_over_{false};
  std::vector<double> answered_ms_;  // From the first byte of the connection to the last of the answer.
  std::uint64_t unanswered_ = 0;
  std::thread thread_;
};

}  // namespace wrackline
