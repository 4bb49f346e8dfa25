// The hub under many devices: memory of a resting connection, exchanges in a second, speed of taking in and
// of verifying. Prints a table; asserts no speed. Everything is on one machine, so the figures hold client
// and hub together: what a device costs is in them twice.
#include <sys/resource.h>

#include <atomic>
#include <catch2/catch.hpp>
#include <chrono>
#include <cstdio>
#include <fstream>
#include <thread>

#include "raw_tls.h"
#include "test_device.h"
#include "verify.h"

using namespace wrackline;

namespace {

using Clock = std::chrono::steady_clock;
constexpr std::size_t kConnections = 2000;
constexpr int kDevices = 8;
constexpr int kBatches = 50;
constexpr int kBatch = 4000;
constexpr std::chrono::seconds kSpan{5};

double seconds_since(Clock::time_point begun) {
  return std::chrono::duration<double>(Clock::now() - begun).count();
}

// A target that a figure is to meet; 0 where it is not asked for.
struct Target {
  double least = 0, most = 0;
};

void row(const char* what, double figure, const char* unit, Target target = {}) {
  std::printf("%-62s %12.1f  %s", what, figure, unit);
  if (target.least > 0) std::printf("  target %.0f or more  %s", target.least, figure >= target.least ? "met" : "MISSED");
  if (target.most > 0) std::printf("  target %.0f at most  %s", target.most, figure <= target.most ? "met" : "MISSED");
  std::printf("\n");
  std::fflush(stdout);
}

double memory_kb(pid_t pid) {
  std::ifstream status("/proc/" + std::to_string(pid) + "/status");
  std::string word;
  while (status >> word) {
    if (word == "VmRSS:") return status >> word ? std::stod(word) : 0;
  }
  return 0;
}

// Exchanges with nothing new, by so many devices at once.
double exchanges_per_second(std::vector<std::unique_ptr<TestDevice>>& devices, int count) {
  std::atomic<int> done = 0, failed = 0;
  std::atomic<bool> stop = false;
  std::vector<std::thread> threads;
  const auto begun = Clock::now();
  for (int i = 0; i < count; ++i) {
    threads.emplace_back([&, i] {
      while (!stop) ++(devices[static_cast<std::size_t>(i)]->exchange() ? done : failed);
    });
  }
  std::this_thread::sleep_for(kSpan);
  stop = true;
  for (std::thread& thread : threads) thread.join();
  const double taken = seconds_since(begun);
  REQUIRE(failed == 0);
  return done / taken;
}

}  // namespace

TEST_CASE("a hub under two thousand connections", "[bench]") {
  rlimit files{};
  ::getrlimit(RLIMIT_NOFILE, &files);
  files.rlim_cur = std::min<rlim_t>(files.rlim_max, 4096);
  ::setrlimit(RLIMIT_NOFILE, &files);
  RunningHub::Options options;
  options.limits.connections_max = options.limits.connections_per_address_max = kConnections + 64;
  options.limits.idle = std::chrono::seconds(3600);
  options.limits.of_device = options.limits.of_address = {100'000'000, 1ull << 50, 100'000'000};
  RunningHub hub(options);
  std::vector<std::unique_ptr<TestDevice>> devices;
  for (int i = 0; i < kDevices; ++i)
    devices.push_back(std::make_unique<TestDevice>(hub, "device " + std::to_string(i)));
  for (auto& device : devices) must(device->exchange());

  const double memory_before = memory_kb(hub.pid());
  std::vector<std::unique_ptr<RawPeer>> resting;
  auto begun = Clock::now();
  for (std::size_t i = 0; i < kConnections; ++i) {
    resting.push_back(std::make_unique<RawPeer>(hub.port()));
    REQUIRE(resting.back()->is_open());
  }
  row("connections opened, TLS 1.3 handshake included", kConnections / seconds_since(begun), "1/s");
  // Each asks once, as a device does before it rests.
  for (auto& peer : resting) REQUIRE(peer->send("GET /healthz HTTP/1.1\r\nHost: hub\r\n\r\n"));
  std::this_thread::sleep_for(std::chrono::seconds(2));
  const double memory_after = memory_kb(hub.pid());
  row("resting connections", kConnections, "");
  row("memory of the hub before them", memory_before / 1024, "MiB");
  row("memory of the hub with them", memory_after / 1024, "MiB", {0, 64});
  row("memory of a resting connection", (memory_after - memory_before) / kConnections, "KiB");

  row("exchanges with nothing new, 1 device, beside them", exchanges_per_second(devices, 1), "1/s");
  row("the same, 8 devices at once", exchanges_per_second(devices, kDevices), "1/s");
  std::size_t still_open = 0;
  for (auto& peer : resting) {
    still_open += peer->send("GET /healthz HTTP/1.1\r\nHost: hub\r\n\r\n") ? 1 : 0;
  }
  row("resting connections that are still served", static_cast<double>(still_open), "");
  CHECK(still_open == kConnections);
  resting.clear();

  TestDevice& writer = *devices.front();
  begun = Clock::now();
  for (int i = 0; i < kBatches; ++i) writer.log_people(kBatch);
  row("changes logged on a device", kBatches * kBatch / seconds_since(begun), "1/s");
  begun = Clock::now();
  must(writer.exchange());
  row("changes taken in by the hub over TLS, verified and projected",
      kBatches * kBatch / seconds_since(begun), "1/s", {100'000, 0});
  begun = Clock::now();
  const Verdict verdict = must(verify(hub.directory.records(), {}, {}, {}));
  CHECK(verdict.good());
  row("changes that `verify` goes through, rebuild included",
      static_cast<double>(verdict.changes) / seconds_since(begun), "1/s");
}
