// This file says what hubs behind one PostgreSQL take in, beside one with its own SQLite, in one run on one machine. Prints a table; asserts no speed.
#include <algorithm>
#include <atomic>
#include <chrono>
#include <cstdio>
#include <memory>
#include <mutex>
#include <thread>
#include <vector>

#include "hub_process.h"
#include "replica/author.h"
#include "running_postgres.h"
#include "store/store.h"
#include "sync/exchange.h"
#include "test_device.h"

using namespace wrackline;

namespace {

using Clock = std::chrono::steady_clock;
constexpr std::size_t kDevices = 8;
constexpr int kLarge = 4000, kSmall = 20;
constexpr std::chrono::seconds kSpan{4};

double seconds_since(Clock::time_point begun) { return std::chrono::duration<double>(Clock::now() - begun).count(); }

struct Throughput {
  double exchanges = 0;  // Exchanges in a second, of 20 entries each.
  double changes = 0;    // Changes in a second that all hubs have, in batches of 4000.
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
  std::mutex telling;
  std::string why;
  const auto exchange = [&](TestDevice& device) {
    const Status exchanged = device.exchange();
    ++(exchanged ? done : failed);
    const std::lock_guard<std::mutex> alone(telling);
    if (!exchanged) why += exchanged.error().message + "\n";
  };
  auto begun = Clock::now();
  run([&](TestDevice& device) {
    while (seconds_since(begun) < kSpan.count()) {
      device.log_people(kSmall);
      exchange(device);
    }
  });
  out.exchanges = done / seconds_since(begun);
  run([&](TestDevice& device) { device.log_people(kLarge); });
  begun = Clock::now();
  run(exchange);
  out.changes = static_cast<double>(kDevices * kLarge) / seconds_since(begun);
  INFO(why);
  CHECK(failed == 0);
  return out;
}

// From the moment at which one tablet begins to exchange with the first hub until another, that waits for news at the last, has
// exchanged as well: milliseconds, ascending.
std::vector<double> measure_news(std::vector<std::unique_ptr<HubProcess>>& hubs) {
  constexpr int kRounds = 40;
  Scratch scratch;
  TestDevice north(scratch, hubs.front()->client_options(), hubs.front()->new_code(), "north");
  TestDevice south(scratch, hubs.back()->client_options(), hubs.back()->new_code(), "south");
  north.log_people(1);
  std::vector<double> out;
  for (int round = 0; round < kRounds; ++round) {
    must(north.exchange());
    must(south.exchange());
    must(south.exchange());  // Brings the arrivals that its own exchange made.
    const Bytes request = must(news_request(south.replica().store()));
    Status heard;
    Clock::time_point at;
    std::thread waiting([&] {
      auto news = south.post("/v1/news", request);
      heard = news ? south.exchange() : Status(fail(news.error()));
      at = Clock::now();
    });
    north.log_people(1);
    std::this_thread::sleep_for(std::chrono::milliseconds(50));  // So that it does wait.
    const auto begun = Clock::now();
    must(north.exchange());
    waiting.join();
    must(heard);
    for (const auto& [log_class, last] : north.replica().author().heads()) CHECK(south.replica().store().logs().find_place(last) != 0);
    out.push_back(std::chrono::duration<double, std::milli>(at - begun).count());
  }
  std::sort(out.begin(), out.end());
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
  const std::vector<double> news_at_one = measure_news(alone);
  std::vector<double> news_at_two;
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
    if (count == 2) news_at_two = measure_news(hubs);
  }
  const auto tell = [](const char* what, const std::vector<double>& ms) {
    std::printf("%-60s p50 %6.1f ms, worst of %zu %6.1f ms\n", what, ms[ms.size() / 2], ms.size(), ms.back());
  };
  tell("an entry from one tablet to another that waits, at one hub", news_at_one);
  tell("the same from one hub to another, by the log", news_at_two);
}
