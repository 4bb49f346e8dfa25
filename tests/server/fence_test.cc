// Goal: the fence outlives the database, is whole or nothing, and belongs to one folder of records. Method: real
// files in a scratch home.
#include "file_fence.h"

#include <catch2/catch.hpp>
#include <cstdlib>
#include <filesystem>
#include <fstream>

#include "scratch.h"

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
  CHECK(point->head == 100);
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
