// What hubs behind one PostgreSQL take in, beside one with its own SQLite, in one run on one machine. Prints a table; asserts no speed.
#include <atomic>
#include <chrono>
#include <cstdio>
#include <memory>
#include <thread>

#include "hub_process.h"
#include "running_postgres.h"
#include "test_device.h"

using namespace wrackline;

namespace {

using Clock = std::chrono::steady_clock;
constexpr std::size_t kDevices = 8;
constexpr int kLarge = 4000, kSmall = 20;
constexpr std::chrono::seconds kSpan{4};

double seconds_since(Clock::time_point begun) { return std::chrono::duration<double>(Clock::now() - begun).count(); }

struct Throughput {
  double exchanges = 0;  // Of 20 entries each, in a second.
  double changes = 0;    // Of batches of 4000, in a second, until all hubs have them.
};

Throughput measure(std::vector<std::unique_ptr<HubProcess>>& hubs) {
  Scratch scratch;
  std::vector<std::unique_ptr<TestDevice>> devices;
  for (std::size_t i = 0; i < kDevices; ++i) {
    HubProcess& hub = *hubs[i % hubs.size()];
    devices.push_back(std::make_unique<TestDevice>(scratch, hub.client_options(), hub.new_code(), "tablet " + std::to_string(i)));
    devices.back()->log_people(1);
  }
  const auto run = [&](auto&& work) {
    std::vector<std::thread> threads;
    for (auto& device : devices) threads.emplace_back([&work, &device] { work(*device); });
    for (std::thread& thread : threads) thread.join();
  };
  Throughput out;
  std::atomic<int> done = 0, failed = 0;
  auto begun = Clock::now();
  run([&](TestDevice& device) {
    while (seconds_since(begun) < kSpan.count()) {
      device.log_people(kSmall);
      ++(device.exchange() ? done : failed);
    }
  });
  out.exchanges = done / seconds_since(begun);
  run([&](TestDevice& device) { device.log_people(kLarge); });
  begun = Clock::now();
  run([&](TestDevice& device) { ++(device.exchange() ? done : failed); });
  out.changes = static_cast<double>(kDevices * kLarge) / seconds_since(begun);
  CHECK(failed == 0);
  return out;
}

void row(const char* what, const Throughput& figures, const Throughput& beside) {
  std::printf("%-34s %10.0f %7.2fx %12.0f %7.2fx\n", what, figures.exchanges, figures.exchanges / beside.exchanges, figures.changes, figures.changes / beside.changes);
}

}  // namespace

TEST_CASE("throughput of one, two and four hubs behind a PostgreSQL, beside one with its own records") {
  std::vector<std::unique_ptr<HubProcess>> alone;
  alone.push_back(std::make_unique<HubProcess>());
  alone.front()->start();
  const Throughput own = measure(alone);
  std::printf("8 tablets at once, all on this machine       exchanges/s          changes/s\n");
  row("one hub, its own SQLite", own, own);
  alone.clear();
  for (std::size_t count : {1u, 2u, 4u}) {
    RunningPostgres postgres;
    std::vector<std::unique_ptr<HubProcess>> hubs;
    hubs.push_back(std::make_unique<HubProcess>(postgres.address()));
    while (hubs.size() < count) hubs.push_back(std::make_unique<HubProcess>(*hubs.front(), postgres.address()));
    for (auto& hub : hubs) hub->start();
    const std::string what = std::to_string(count) + (count == 1 ? " hub" : " hubs") + ", one PostgreSQL";
    row(what.c_str(), measure(hubs), own);
  }
}
