// Goal: a hub whose disk is full says so, serves reads, loses nothing and goes on when there is room. Method:
// the serving process has an SQLite VFS whose writes fail between two signals.
#include <call.pb.h>

#include <catch2/catch.hpp>
#include <csignal>
#include <thread>

#include "replica/author.h"
#include "store/store.h"
#include "support/failing_disk.h"
#include "test_device.h"
#include "verify.h"

using namespace wrackline;

TEST_CASE("a full disk refuses writes in plain words, serves reads and loses nothing", "[disk]") {
  RunningHub::Options options;
  options.has_failing_disk = true;
  RunningHub hub(options);
  TestDevice writer(hub, "writer"), reader(hub, "reader");
  writer.log_people(10);
  must(writer.exchange());
  reader.log_people(3);
  must(reader.exchange());
  const std::string before = writer.hub_digest();
  REQUIRE(writer.digest() != before);

  ::kill(hub.pid(), SIGUSR1);
  writer.log_people(10);
  // The hub refuses the logs it brings one by one, and sends those it lacks all the same.
  const std::uint64_t own = writer.changes();
  must(writer.exchange());
  REQUIRE(writer.refusals().size() == 1);
  CHECK(writer.refusals().front().code == ErrorCode::kDiskFull);
  CHECK_THAT(writer.refusals().front().message, Catch::Contains("safe on this device"));
  CHECK(writer.changes() == own + 3);
  CHECK_THAT(hub.log(), Catch::Contains("event=trouble code=disk_full"));
  const LogEntry* log = writer.replica().store().logs().find(writer.replica().author().log(LogClass::kRoster));
  // Nothing was acknowledged that is not held.
  CHECK(must(writer.replica().store().records().arrivals().told_of(*log, writer.replica().devices().hub())) == log->head.seq - 10);
  CHECK(writer.hub_digest() == before);
  proto::Call call;
  call.mutable_status();
  must(writer.post("/v1/query", call.SerializeAsString()));
  must(reader.exchange());  // It only takes.
  CHECK(reader.digest() == before);
  CHECK(hub.is_running());

  ::kill(hub.pid(), SIGUSR2);
  must(writer.exchange());
  must(reader.exchange());
  CHECK(writer.hub_digest() == writer.digest());
  CHECK(reader.digest() == writer.digest());
  CHECK(hub.stop() == 0);
  CHECK(must(verify(hub.directory.records(), {}, {}, {})).good());
}

TEST_CASE("a hub told to stop under load has kept everything it answered", "[disk]") {
  RunningHub hub;
  TestDevice one(hub, "one"), two(hub, "two");
  one.log_people(1);
  std::thread load([&] {
    for (;;) {
      one.log_people(30);
      if (!one.exchange()) return;  // The hub has gone.
    }
  });
  for (int i = 0; i < 5; ++i) {
    two.log_people(10);
    must(two.exchange());
  }
  CHECK(hub.stop() == 0);
  load.join();
  hub.start();
  // Changes that the hub has told devices it holds must be there without their help.
  std::uint64_t arrived = 0, held = 0;
  for (TestDevice* device : {&one, &two}) {
    const LogEntry* log = device->replica().store().logs().find(device->replica().author().log(LogClass::kRoster));
    REQUIRE(log != nullptr);
    arrived += must(device->replica().store().records().arrivals().told_of(*log, device->replica().devices().hub()));
  }
  hub.stop();
  const Verdict verdict = must(verify(hub.directory.records(), {}, {}, {}));
  CHECK(verdict.good());
  held = verdict.changes;
  CHECK(arrived > 0);
  CHECK(held >= arrived);
  hub.start();
  for (int round = 0; round < 2; ++round) {
    must(one.exchange());
    must(two.exchange());
  }
  must(one.exchange());
  CHECK(one.digest() == two.digest());
  CHECK(one.hub_digest() == one.digest());
}
