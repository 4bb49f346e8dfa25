// Goal: what one device asks for costs the hub little. Method: an enrolled thief's requests made by hand; what the hub pays for them is
// measured and printed.
#include <catch2/catch.hpp>
#include <chrono>
#include <cstdio>
#include <filesystem>
#include <fstream>

#include "attack_world.h"
#include "base/built_in_fields.h"
#include "hub_records.h"
#include "log/change.h"
#include "store/store.h"
#include "support/fields.h"
#include "support/made_log.h"
#include "sync/unknown_logs.h"
#include "system_clock.h"

using namespace wrackline;

namespace {

// What the hub has in memory and on the disk.
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
