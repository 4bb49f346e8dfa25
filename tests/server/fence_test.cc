// Goal: the fence outlives the database, is whole or nothing, and belongs to one folder of records. Method: real
// files in a scratch home.
#include "hosts/file_fence.h"

#include <catch2/catch.hpp>
#include <cstdlib>
#include <filesystem>
#include <fstream>

#include "hosts/file_keystore.h"
#include "hub_records.h"
#include "init.h"
#include "replica/author.h"
#include "scratch.h"
#include "verify.h"

using namespace wrackline;

TEST_CASE("a fence is read as it was written, by the next process too", "[fence]") {
  Scratch scratch;
  FileFence fence(scratch / "state/fences/one");
  CHECK_FALSE(fence.read());
  REQUIRE(fence.write({LogId{7}, 12, 99}));
  REQUIRE(fence.write({LogId{7}, 13, 100}));
  const auto point = FileFence(fence.path()).read();
  REQUIRE(point);
  CHECK(point->log == LogId{7});
  CHECK(point->seq == 13);
  CHECK(point->root == 100);
}

TEST_CASE("a fence cut short or altered is none", "[fence]") {
  Scratch scratch;
  FileFence fence(scratch / "fence");
  REQUIRE(fence.write({LogId{7}, 12, 99}));
  const auto size = std::filesystem::file_size(fence.path());
  {
    std::fstream file(fence.path(), std::ios::in | std::ios::out | std::ios::binary);
    file.seekp(9);
    file.put('\x55');
  }
  CHECK_FALSE(fence.read());
  REQUIRE(fence.write({LogId{7}, 12, 99}));
  std::filesystem::resize_file(fence.path(), size - 1);
  CHECK_FALSE(fence.read());
}

TEST_CASE("a fence that cannot be written says so, and folders of records have fences of their own", "[fence]") {
  Scratch scratch;
  std::ofstream(scratch / "file") << "in the way";
  CHECK_FALSE(FileFence(scratch / "file/fence").write({LogId{7}, 1, 1}));
  setenv("XDG_STATE_HOME", (scratch / "state").c_str(), 1);
  const auto one = FileFence::beside(scratch / "one/records.db"), two = FileFence::beside(scratch / "two/records.db");
  REQUIRE(one);
  REQUIRE(two);
  CHECK(one->path() != two->path());
  CHECK(one->path().find(scratch / "state") == 0);
  unsetenv("XDG_STATE_HOME");
}

TEST_CASE("records that are put back beside the hub's fence go on in new logs, and verify", "[fence]") {
  Scratch scratch;
  InitOptions options;
  options.directory.path = scratch / "hub";
  options.facility_name = "Test Pier";
  options.time_zone = "Europe/Oslo";
  options.admin_name = "Ada";
  options.proof_required = false;
  options.hosts = {"hub.test"};
  must(init(options));
  const HubDirectory& hub = options.directory;
  const auto enrol = [&](const std::string& name) {
    const auto key = must(FileKeystore::create(scratch / name));
    const HubRecords records = must(HubRecords::open(hub, "testing"));
    must(records.replica->admit_device(name, key->public_key()));
    return records.replica->author().log(LogClass::kRoster);
  };
  const LogId first = enrol("north");
  std::filesystem::copy_file(hub.records(), scratch / "copy");
  CHECK(enrol("south") == first);
  std::filesystem::remove(hub.records());
  std::filesystem::copy_file(scratch / "copy", hub.records());
  CHECK(enrol("west") != first);
  const LogId second = enrol("east");
  CHECK(second != first);
  CHECK(enrol("pier") == second);
  CHECK(must(verify(hub.records(), "", must(Replica::key_of(hub.records())), {})).good());
}
