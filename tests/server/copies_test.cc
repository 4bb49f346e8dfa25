// Goal: a backup taken from a serving hub verifies, a spoilt one is found out, and a hub lost and restored
// from an old backup ends with everything that devices hold. Method: the hub is a process of its own, devices
// speak real TLS to it; damage is done to files by hand.
#include <sys/stat.h>

#include <atomic>
#include <catch2/catch.hpp>
#include <thread>

#include "devices.h"
#include "hosts/private_file.h"
#include "hub_backup.h"
#include "hub_keys.h"
#include "restore.h"
#include "store/sqlite.h"
#include "test_device.h"
#include "verify.h"

using namespace wrackline;

namespace {

unsigned mode_of(const std::string& path) {
  struct stat about {};
  REQUIRE(::stat(path.c_str(), &about) == 0);
  return about.st_mode & 0777;
}

Verdict verdict_on(const std::string& file) { return must(verify(file, {}, {}, {})); }

// Runs SQL on a file that nobody else has open.
void spoil(const std::string& file, const std::string& sql) {
  const auto database = must(Database::open(file, Database::Mode::kOpen));
  must(database->execute(sql));
}

void copy_file(const std::string& from, const std::string& to) { std::filesystem::copy_file(from, to); }

}  // namespace

TEST_CASE("a hub lost and restored from an old backup gets back what devices hold", "[copies]") {
  RunningHub hub;
  TestDevice north(hub, "north"), south(hub, "south");
  north.log_people(40);
  must(north.exchange());
  must(south.exchange());
  const std::string file = hub.scratch / "backup.db";
  must(back_up({hub.directory, file, true}, {}));

  // Life goes on: records, a device that is let in, and one that the hub never hears of again.
  north.log_people(30);
  must(north.exchange());
  TestDevice east(hub, "east");
  east.log_people(20);
  must(east.exchange());
  must(north.exchange());
  south.log_people(10);  // Not exchanged before the hub is lost.
  const std::string before = east.digest();
  REQUIRE(north.digest() == before);

  hub.stop(SIGKILL);
  std::filesystem::remove_all(hub.directory.path);
  const Verdict restored = must(restore({hub.directory, file, {}}, {}));
  CHECK(restored.good());
  hub.start();

  // The restored hub does not know this device until another one has brought the hub's own lost changes.
  CHECK(east.exchange().error().code == ErrorCode::kUnknownDevice);
  must(north.exchange());
  for (int round = 0; round < 2; ++round) {
    for (TestDevice* device : {&south, &east, &north}) {
      must(device->exchange());
      CHECK(device->refusals().empty());
    }
  }
  must(south.exchange());
  const std::string after = north.digest();
  CHECK(after != before);  // The entries that south had kept have come.
  CHECK(south.digest() == after);
  CHECK(east.digest() == after);
  CHECK(north.hub_digest() == after);

  // The hub writes on, in a log that is no fork of its old one.
  TestDevice west(hub, "west");
  west.log_people(5);
  for (int round = 0; round < 2; ++round) {
    for (TestDevice* device : {&west, &north, &south, &east}) {
      must(device->exchange());
      CHECK(device->refusals().empty());
    }
  }
  CHECK(west.digest() == north.digest());
  CHECK(south.digest() == north.digest());
  CHECK(east.digest() == north.digest());
  CHECK(west.hub_digest() == north.digest());
  CHECK(west.changes() == north.changes());
  hub.stop();
  CHECK(verdict_on(hub.directory.records()).good());
}

TEST_CASE("a restored hub gets back what devices sent after the backup, even revoked ones", "[copies]") {
  RunningHub hub;
  TestDevice lost(hub, "lost"), other(hub, "other");
  const std::string file = hub.scratch / "backup.db";
  must(back_up({hub.directory, file, true}, {}));
  lost.log_people(25);
  must(lost.exchange());
  must(other.exchange());
  must(revoke({hub.directory, "lost", "lost at the beach", {}}));
  must(other.exchange());
  const std::uint64_t before = other.changes();

  hub.stop(SIGKILL);
  std::filesystem::remove_all(hub.directory.path);
  must(restore({hub.directory, file, {}}, {}));
  must(revoke({hub.directory, "lost", "lost at the beach, said again after the restore", {}}));
  hub.start();
  lost.log_people(5);
  CHECK(lost.exchange().error().code == ErrorCode::kRevokedDevice);
  for (int round = 0; round < 2; ++round) {
    must(other.exchange());
    CHECK(other.refusals().empty());
  }
  // The second strike, and the restored hub's hold of what came back from a device that is revoked.
  CHECK(other.changes() == before + 2);
  CHECK(other.digest() == other.hub_digest());
  CHECK(must(other.replica().device_standing(lost.key().public_key())) == DeviceStanding::kRevoked);
}

TEST_CASE("a backup taken while devices write is whole, and the hub serves on", "[copies]") {
  RunningHub hub;
  TestDevice device(hub, "tablet");
  device.log_people(1);
  std::atomic<bool> done = false;
  std::string trouble;
  std::thread writer([&] {
    while (!done) {
      device.log_people(20);
      if (const Status exchanged = device.exchange(); !exchanged) trouble = exchanged.error().message;
    }
  });
  for (int i = 0; i < 5; ++i) {
    const std::string file = hub.scratch / ("backup" + std::to_string(i));
    must(back_up({hub.directory, file, false}, {}));
    const Verdict verdict = verdict_on(file);
    CHECK(verdict.good());
    CHECK(verdict.changes > 0);
    CHECK(mode_of(file) == 0600);
    for (const char* beside : {"-wal", "-shm", "-journal", ".making", ".making.lock", ".keys"})
      CHECK_FALSE(std::filesystem::exists(file + beside));
  }
  CHECK(verdict_on(hub.directory.records()).good());
  done = true;
  writer.join();
  CHECK(trouble.empty());
}

TEST_CASE("verify names the first bad change, and a spoilt backup is not restored", "[copies]") {
  RunningHub hub;
  TestDevice device(hub, "tablet");
  device.log_people(600);
  must(device.exchange());
  const std::string good = hub.scratch / "good.db", bad = hub.scratch / "bad.db";
  must(back_up({hub.directory, good, true}, {}));
  const Verdict whole = verdict_on(good);
  REQUIRE(whole.good());
  CHECK(whole.digest == device.digest());
  CHECK(whole.seals > 0);
  copy_file(good, bad);
  copy_file(keys_file_of(good), keys_file_of(bad));
  std::filesystem::permissions(keys_file_of(bad),
                               std::filesystem::perms::owner_read | std::filesystem::perms::owner_write);
  std::string sign;
  SECTION("some bytes of a sealed run") {  // Not at its end, where a regular run is padded.
    spoil(bad,
          "UPDATE segment SET body=CAST(substr(body,1,20)||x'a5a5a5a5'||substr(body,25) AS BLOB) WHERE first=(SELECT "
          "max(first) FROM segment)");
    sign = "log ";
  }
  SECTION("a seal") {
    spoil(bad, "UPDATE log SET seal=CAST(substr(seal,1,88) AS BLOB)||zeroblob(64) WHERE seal IS NOT NULL");
    sign = "not what their device sealed";
  }
  SECTION("a run cut off the end") {
    spoil(bad, "DELETE FROM segment WHERE first=(SELECT max(first) FROM segment)");
    sign = "missing, though their device sealed them";
  }
  SECTION("a projection") {
    spoil(bad, "DELETE FROM key WHERE record=(SELECT max(record) FROM key)");
    sign = "the projections do not follow from the changes";
  }
  SECTION("a page of the file") {
    std::fstream file(bad, std::ios::in | std::ios::out | std::ios::binary);
    file.seekp(2 * 4096);
    file << std::string(4096, '\xee');
    sign = "";
  }
  const Verdict verdict = verdict_on(bad);
  CHECK_FALSE(verdict.good());
  REQUIRE_FALSE(verdict.problems.empty());
  CHECK_THAT(verdict.problems.front(), Catch::Contains(sign));
  const auto restored = restore({{hub.scratch / "elsewhere"}, bad, {}}, {});
  REQUIRE_FALSE(restored);
  CHECK_FALSE(std::filesystem::exists(hub.scratch / "elsewhere"));
}

TEST_CASE("backup and restore write over nothing, and keys must be the hub's own", "[copies]") {
  RunningHub hub;
  const std::string file = hub.scratch / "backup.db";
  // A backup clears away the parts that an interrupted one may leave.
  must(create_private_file(file + ".making", "half a copy"));
  must(back_up({hub.directory, file, true}, {}));
  CHECK(mode_of(keys_file_of(file)) == 0600);
  CHECK(back_up({hub.directory, file, false}, {}).error().code == ErrorCode::kInvalid);
  CHECK(back_up({{hub.scratch / "nowhere"}, hub.scratch / "b", false}, {}).error().code ==
        ErrorCode::kNotFound);

  CHECK(restore({hub.directory, file, {}}, {}).error().code == ErrorCode::kInvalid);
  const HubDirectory fresh{hub.scratch / "fresh"};
  CHECK(restore({fresh, file, hub.scratch / "no-keys"}, {}).error().code == ErrorCode::kNotFound);
  {
    RunningHub other;
    const auto wrong = restore({fresh, file, other.directory.path}, {});
    REQUIRE_FALSE(wrong);
    CHECK_THAT(wrong.error().message, Catch::Contains("not those of the hub this backup is of"));
  }
  CHECK_FALSE(std::filesystem::exists(fresh.path));
  CHECK(restore({fresh, keys_file_of(file), {}}, {}).error().code != ErrorCode::kOk);
  must(restore({fresh, file, hub.directory.path}, {}));
  CHECK(mode_of(fresh.path) == 0700);
  for (const auto& entry : std::filesystem::directory_iterator(fresh.path))
    CHECK(mode_of(entry.path()) == 0600);
}

TEST_CASE("a keys file that is cut short, longer, or of another kind is refused", "[copies]") {
  Scratch scratch;
  const auto [authority, authority_key] = GENERATE(std::pair<const char*, const char*>{"", ""}, std::pair<const char*, const char*>{"four\n", "five"});
  const HubKeys keys{"one\n", "two two\n", Bytes("\0\n", 2), authority, authority_key};
  must(write_keys_file(keys, scratch / "keys"));
  const HubKeys read = must(read_keys_file(scratch / "keys"));
  CHECK(read.hub_key == keys.hub_key);
  CHECK(read.certificate == keys.certificate);
  CHECK(read.certificate_key == keys.certificate_key);
  CHECK(read.authority == keys.authority);
  CHECK(read.authority_key == keys.authority_key);
  const std::string whole = content_of(scratch / "keys");
  for (std::size_t size = 0; size < whole.size(); ++size) {
    must(replace_private_file(scratch / "cut", whole.substr(0, size)));
    CHECK(read_keys_file(scratch / "cut").error().code == ErrorCode::kMalformed);
  }
  must(replace_private_file(scratch / "cut", whole + "x"));
  CHECK(read_keys_file(scratch / "cut").error().code == ErrorCode::kMalformed);
}

TEST_CASE("a hub whose database was put back by hand says so when it starts, and goes on", "[copies]") {
  RunningHub hub;
  TestDevice one(hub, "one");
  one.log_people(3);
  must(one.exchange());
  hub.stop();
  const std::string file = hub.directory.records(), copy = hub.scratch / "copy.db";
  copy_file(file, copy);
  hub.start();
  CHECK_THAT(hub.log(), !Catch::Contains("event=records_put_back"));
  one.log_people(3);
  must(one.exchange());
  hub.stop();
  std::filesystem::remove(file);
  copy_file(copy, file);
  hub.start();
  CHECK_THAT(hub.log(), Catch::Contains("event=records_put_back"));
  must(one.exchange());
  CHECK(one.refusals().empty());
  CHECK(one.digest() == one.hub_digest());
  hub.stop();
  CHECK(verdict_on(file).good());
}
