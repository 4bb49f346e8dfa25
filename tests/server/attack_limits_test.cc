// Goal: what one device or one address asks for costs the hub little and costs others nothing. Method: an enrolled thief's requests made by
// hand, and floods of connections from addresses of the loopback; what the hub pays for them is measured and printed.
#include <catch2/catch.hpp>
#include <atomic>
#include <chrono>
#include <cstdio>
#include <filesystem>
#include <fstream>
#include <thread>

#include "attack_world.h"
#include "base/built_in_fields.h"
#include "hosts/system_clock.h"
#include "hub_records.h"
#include "log/change.h"
#include "store/store.h"
#include "support/made_log.h"
#include "support/wire_field.h"
#include "sync/unknown_logs.h"

using namespace wrackline;

namespace {

using Clock = std::chrono::steady_clock;

double seconds_since(Clock::time_point begun) { return std::chrono::duration<double>(Clock::now() - begun).count(); }

// The bytes that the hub has in memory and on the disk.
struct Paid {
  double memory = 0, disk = 0;  // Bytes.
};

struct UnknownLogsWorld : AttackWorld {
  UnknownLogsWorld() : AttackWorld(unhurried()) {}
  static RunningHub::Options unhurried() {
    RunningHub::Options options = quick();
    options.limits.exchange = std::chrono::minutes(10);  // Each request is looked at whole, however slow the machine is.
    return options;
  }

  Paid paid() const {
    Paid out;
    std::ifstream status("/proc/" + std::to_string(hub.pid()) + "/status");
    for (std::string word; status >> word;) {
      if (word == "VmRSS:") status >> out.memory;
    }
    out.memory *= 1024;
    for (const char* end : {"", "-wal"}) {
      std::error_code none;
      const auto size = std::filesystem::file_size(hub.directory.records() + end, none);
      if (!none) out.disk += static_cast<double>(size);
    }
    return out;
  }
  // Logs that the hub knows by name only.
  std::size_t names() const {
    const auto records = must(HubRecords::open(hub.directory, "looking"));
    std::size_t out = 0;
    for (const auto& [id, log] : records.replica->store().logs().all()) out += log.opening ? 0 : 1;
    return out;
  }
  // An exchange with `logs` logs of the thief's, each of `edits` edits of records of as many logs that nobody has. Returns its size.
  std::size_t send_edits(std::size_t logs, std::size_t edits) {
    proto::ExchangeRequest request;
    REQUIRE(request.ParseFromString(must(thief->replica().exchange({}))));
    request.clear_segments();
    for (std::size_t i = 0; i < logs; ++i) {
      ChangeRun changes;
      for (std::size_t n = 0; n < edits; ++n) {
        Change edit;
        edit.stamp = Stamp::of(wall_clock_ms(), 0);
        edit.record = {LogId{next_made_up++}, 1};  // In a row they take least on the way.
        const Bytes fields = number_field(kStandingField, 1);
        edit.fields = fields;
        changes.append(write_change(edit));
      }
      MadeLog log = made_log(thief->enrolment().facility, thief->key().public_key(), next_log++);
      *request.add_segments() = made_segment(log, thief->key(), changes, true);
    }
    const Bytes body = request.SerializeAsString();
    proto::ExchangeReply reply;
    REQUIRE(reply.ParseFromString(must(thief->post("/v1/exchange", body))));
    refused = reply.refusals_size();
    return body.size();
  }
  void tell(const char* what, std::size_t sent, const Paid& before) const {
    const Paid after = paid();
    std::printf("unknown logs, %s: %zu KB sent, memory %+.0f KB, disk %+.0f KB: %.1f times what was sent; %zu names kept\n", what, sent / 1024,
                (after.memory - before.memory) / 1024, (after.disk - before.disk) / 1024,
                (after.memory - before.memory + after.disk - before.disk) / static_cast<double>(sent), names());
  }

  std::uint64_t next_made_up = 0x7700000000000000, next_log = 0x9000;
  int refused = 0;
};

// A flood of TLS connections from one address, for as long as it lives.
class Flood {
 public:
  Flood(std::uint16_t port, const char* address) : begun_(Clock::now()) {
    for (int i = 0; i < 4; ++i) {
      threads_.emplace_back([this, port, address] {
        RawPeer::Options options;
        options.address = address;
        while (!is_over_) {
          ++tried_;
          served_ += RawPeer(port, options).is_open() ? 1 : 0;
        }
      });
    }
  }
  ~Flood() { end(); }
  void end() {
    is_over_ = true;
    for (std::thread& thread : threads_) thread.join();
    if (!threads_.empty()) seconds_ = seconds_since(begun_);
    threads_.clear();
  }
  int tried() const { return tried_; }
  int served() const { return served_; }
  double seconds() const { return seconds_; }

 private:
  std::vector<std::thread> threads_;
  std::atomic<bool> is_over_ = false;
  std::atomic<int> tried_ = 0, served_ = 0;
  Clock::time_point begun_;
  double seconds_ = 0;
};

}  // namespace

TEST_CASE("edits of records of tens of thousands of made-up logs leave few names behind", "[attack]") {
  UnknownLogsWorld world;
  world.send_edits(1, 1);  // So that what is measured is not what a first exchange of this kind costs.
  Paid before = world.paid();
  std::size_t sent = world.send_edits(5, 4000);
  world.tell("20,000 of them", sent, before);
  CHECK(tried(world.refused == 5 && world.names() <= kUnknownLogsMost));
  before = world.paid();
  sent = world.send_edits(20, 1000);
  world.tell("20,000 in small runs", sent, before);
  CHECK(tried(world.refused == 19 && world.names() <= kUnknownLogsMost));
  CHECK(world.names() > 1000);  // The first run was within what a device may.
  before = world.paid();
  sent = 0;
  for (int i = 0; i < 20; ++i) sent += world.send_edits(10, 500);
  world.tell("100,000 more", sent, before);
  CHECK(tried(world.refused == 10 && world.names() <= kUnknownLogsMost));
  must(world.keeper->exchange());
  world.digest_before = world.keeper->hub_digest();
  world.changes_before = world.hub_changes();
}

TEST_CASE("a flood of handshakes keeps no neighbour out, and its address only while it lasts", "[attack]") {
  RunningHub::Options options = AttackWorld::quick();
  options.limits.handshakes = {60, 10};
  options.limits.idle = std::chrono::seconds(300);
  AttackWorld world(options);
  world.health.reset();  // It asks more often than the quota lets it.
  const std::string health = "GET /healthz HTTP/1.1\r\nHost: hub\r\nConnection: close\r\n\r\n";
  proto::Call status;
  status.mutable_status();
  const auto query = [&] { return world.request("/v1/query", status.SerializeAsString(), &world.keeper->session()); };
  const auto staying = [&] {
    const std::string close = "Connection: close\r\n";
    std::string request = query();
    return request.erase(request.find(close), close.size());
  };
  RawPeer::Options behind;
  behind.address = "127.0.0.41";
  RawPeer device(world.hub.port(), behind);  // Is in before the flood begins.
  device.send(staying());
  REQUIRE(status_in(device.hear_answer()) == 200);

  Flood flood(world.hub.port(), "127.0.0.41");
  while (flood.tried() - flood.served() < 100) std::this_thread::sleep_for(std::chrono::milliseconds(10));  // The quota is spent.
  int served = 0;
  double slowest_ms = 0;
  for (int i = 0; i < 30; ++i) {
    const auto begun = Clock::now();
    served += world.ask(health, "127.0.0.42") == 200 ? 1 : 0;
    slowest_ms = std::max(slowest_ms, seconds_since(begun) * 1000);
  }
  CHECK(tried(served == 30));
  device.send(staying());
  CHECK(tried(status_in(device.hear_answer()) == 200));
  flood.end();
  CHECK(tried(flood.served() <= 60 + 10 * (flood.seconds() + 1)));
  const auto ended = Clock::now();
  bool is_in = false;
  while (!is_in && seconds_since(ended) < 60) {
    is_in = world.ask(query(), "127.0.0.41") == 200;
    if (!is_in) std::this_thread::sleep_for(std::chrono::milliseconds(50));
  }
  CHECK(tried(is_in));
  std::printf("flood of handshakes: %d in %.1f s, %d of them served; a neighbour waited %.0f ms at most; the address was served again after %.1f s\n", flood.tried(),
              flood.seconds(), flood.served(), slowest_ms, seconds_since(ended));

  RawPeer figures(world.hub.port());
  figures.send("GET /metrics HTTP/1.1\r\nHost: hub\r\nConnection: close\r\n\r\n");
  const std::string heard = figures.hear(30'000);
  const std::string name = "\nwrackline_handshakes_over_quota_total ";
  REQUIRE(heard.find(name) != std::string::npos);
  CHECK(std::stoi(heard.substr(heard.find(name) + name.size())) >= 100);
  // The log has one line of it a minute, and not one for each.
  const std::string log = world.hub.log();
  std::size_t lines = 0;
  for (std::size_t at = log.find("event=over_quota"); at != std::string::npos; at = log.find("event=over_quota", at + 1)) ++lines;
  CHECK(lines >= 1);
  CHECK(lines <= 2 + static_cast<std::size_t>(seconds_since(ended) + flood.seconds()) / 60);
}
