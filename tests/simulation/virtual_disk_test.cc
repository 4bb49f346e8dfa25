// Goal: the virtual disk is one that loses what was not synced and nothing else. Method: databases on it, through the
// power cuts of many seeds, with and without fsync.
#include <catch2/catch.hpp>

#include "simulation/virtual_disk.h"
#include "store/sqlite.h"
#include "support/must.h"

using namespace wrackline;

namespace {

// Rows that are there after a crash, of ten whose commits went well; -1 when the database is damaged.
int rows_after_crash(std::uint64_t seed, bool syncs) {
  VirtualDisk disk("machine");
  seed_sqlite(seed);
  Random random(seed);
  const std::string path = disk.path("test.db");
  {
    auto database = must(Database::open(path, Database::Mode::kCreate));
    must(database->configure());
    must(database->execute("CREATE TABLE t(x)"));
    if (!syncs) must(database->execute("PRAGMA synchronous=OFF"));
    for (int i = 0; i < 10; ++i) must(database->execute("INSERT INTO t VALUES(hex(randomblob(300)))"));
    disk.power_off();
    CHECK_FALSE(database->execute("INSERT INTO t VALUES(0)"));
  }
  disk.restart(random);
  auto database = Database::open(path, Database::Mode::kOpen);
  if (!database) return -1;
  Statement count(**database, "SELECT count(*) FROM t");
  const auto row = count.step();
  return row && *row ? static_cast<int>(count.integer(0)) : -1;
}

}  // namespace

TEST_CASE("what was committed and synced is there after every crash", "[virtual-disk]") {
  for (std::uint64_t seed = 0; seed < 200; ++seed) {
    INFO("seed " << seed);
    CHECK(rows_after_crash(seed, true) == 10);
  }
}

TEST_CASE("without fsync crashes lose commits, and sometimes none", "[virtual-disk]") {
  int whole = 0, with_loss = 0;
  for (std::uint64_t seed = 0; seed < 200; ++seed) (rows_after_crash(seed, false) == 10 ? whole : with_loss)++;
  CHECK(whole > 20);
  CHECK(with_loss > 20);
}

TEST_CASE("a crash between any two writes of a commit leaves all of it or nothing", "[virtual-disk]") {
  int before = 0, after = 0;
  for (std::uint32_t at = 0; at < 40; ++at) {
    VirtualDisk disk("machine");
    Random random(at);
    const std::string path = disk.path("test.db");
    bool is_committed = false;
    {
      auto database = must(Database::open(path, Database::Mode::kCreate));
      must(database->configure());
      must(database->execute("CREATE TABLE t(x); INSERT INTO t VALUES(1)"));
      disk.crash_after(at);
      is_committed = static_cast<bool>(database->execute("BEGIN; UPDATE t SET x=2; INSERT INTO t VALUES(zeroblob(20000)); COMMIT"));
      if (!disk.is_down()) disk.power_off();
    }
    disk.restart(random);
    auto database = must(Database::open(path, Database::Mode::kOpen));
    Statement look(*database, "SELECT x=2,(SELECT count(*) FROM t) FROM t LIMIT 1");
    REQUIRE(must(look.step()));
    const bool is_new = look.integer(0) == 1;
    CHECK(look.integer(1) == (is_new ? 2 : 1));
    CHECK((is_new || !is_committed));
    ++(is_new ? after : before);
  }
  CHECK(before > 0);
  CHECK(after > 0);
}

TEST_CASE("a full disk and an I/O error refuse a write and leave what was there", "[virtual-disk]") {
  VirtualDisk disk("machine");
  auto database = must(Database::open(disk.path("test.db"), Database::Mode::kCreate));
  must(database->configure());
  must(database->execute("CREATE TABLE t(x); INSERT INTO t VALUES(1)"));
  disk.fill_after(0);
  CHECK(code_of(Result<int>(fail(database->execute("INSERT INTO t VALUES(2)").error()))) == ErrorCode::kDiskFull);
  disk.heal();
  disk.fail_once_after(0);
  CHECK_FALSE(database->execute("INSERT INTO t VALUES(3)"));
  must(database->execute("INSERT INTO t VALUES(4)"));
  Statement sum(*database, "SELECT sum(x) FROM t");
  REQUIRE(must(sum.step()));
  CHECK(sum.integer(0) == 5);
}

TEST_CASE("two connections of one virtual file see each other's commits and wait for each other", "[virtual-disk]") {
  VirtualDisk disk("machine");
  auto one = must(Database::open(disk.path("test.db"), Database::Mode::kCreate));
  must(one->configure());
  must(one->execute("CREATE TABLE t(x)"));
  auto two = must(Database::open(disk.path("test.db"), Database::Mode::kOpen));
  must(one->execute("BEGIN IMMEDIATE; INSERT INTO t VALUES(7)"));
  must(two->execute("PRAGMA busy_timeout=0"));
  CHECK_FALSE(two->execute("INSERT INTO t VALUES(8)"));
  must(one->execute("COMMIT"));
  Statement look(*two, "SELECT x FROM t");
  REQUIRE(must(look.step()));
  CHECK(look.integer(0) == 7);
}
