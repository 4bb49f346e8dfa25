// Goal: whatever a disk does to a call, it fails as a value or succeeds, and nothing that was acknowledged is lost. Method: the
// same day is run again and again, and each time another of the calls that SQLite makes on the tablet's file, or on the
// hub's, fails in one of the ways of support/failing_disk.h. Then the disk is whole again, and the databases must open, hold
// what was acknowledged, verify, be what a rebuild gives, take a new entry and converge.
//
// Databases lie in memory where the system has a folder for that: thousands of days with real syncs would take an hour, and
// what is looked at is what reaches a file, not the disk below it. crash_test.cc is on the real disk.
#include <catch2/catch.hpp>
#include <cstdio>
#include <filesystem>
#include <map>

#include "scripted_day.h"
#include "support/failing_disk.h"
#include "support/random.h"

using namespace wrackline;

namespace {

using Call = FailingDisk::Call;
using Fault = FailingDisk::Fault;
using Lasting = FailingDisk::Lasting;
using Unsynced = FailingDisk::Unsynced;
using Side = ScriptedDay::Side;

constexpr const char* kCallWords[] = {"write", "sync", "truncate", "open", "delete", "read", "file size"};

// One way in which one call fails, and what the disk is left with where the power goes.
struct Trial {
  Call call;
  Fault fault;
  Lasting lasting;
  Unsynced unsynced;
  const char* words;
};

const Trial kTrials[] = {
    {Call::kWrite, Fault::kIoError, Lasting::kOnce, {}, "write: I/O error, once"},
    {Call::kWrite, Fault::kIoError, Lasting::kFromThenOn, {}, "write: I/O error, from then on"},
    {Call::kWrite, Fault::kFull, Lasting::kOnce, {}, "write: disk full, once"},
    {Call::kWrite, Fault::kFull, Lasting::kFromThenOn, {}, "write: disk full, from then on"},
    {Call::kWrite, Fault::kShortWrite, Lasting::kOnce, {}, "write: short, once"},
    {Call::kWrite, Fault::kShortWrite, Lasting::kFromThenOn, {}, "write: short, from then on"},
    {Call::kWrite, Fault::kPowerCut, {}, Unsynced::kLost, "write: power cut, unsynced bytes lost"},
    {Call::kWrite, Fault::kPowerCut, {}, Unsynced::kPart, "write: power cut, unsynced bytes in part"},
    {Call::kWrite, Fault::kPowerCut, {}, Unsynced::kKept, "write: power cut, unsynced bytes there"},
    {Call::kSync, Fault::kIoError, Lasting::kOnce, {}, "sync: I/O error, once"},
    {Call::kSync, Fault::kIoError, Lasting::kFromThenOn, {}, "sync: I/O error, from then on"},
    {Call::kSync, Fault::kLostSync, Lasting::kOnce, Unsynced::kLost, "sync: said OK and was none, once, then power cut"},
    {Call::kSync, Fault::kLostSync, Lasting::kFromThenOn, Unsynced::kLost, "sync: said OK and was none, from then on, then power cut"},
    {Call::kSync, Fault::kPowerCut, {}, Unsynced::kLost, "sync: power cut, unsynced bytes lost"},
    {Call::kSync, Fault::kPowerCut, {}, Unsynced::kPart, "sync: power cut, unsynced bytes in part"},
    {Call::kSync, Fault::kPowerCut, {}, Unsynced::kKept, "sync: power cut, unsynced bytes there"},
    {Call::kTruncate, Fault::kIoError, Lasting::kOnce, {}, "truncate: I/O error, once"},
    {Call::kTruncate, Fault::kPowerCut, {}, Unsynced::kPart, "truncate: power cut, unsynced bytes in part"},
    {Call::kOpen, Fault::kIoError, Lasting::kOnce, {}, "open: I/O error, once"},
    {Call::kOpen, Fault::kIoError, Lasting::kFromThenOn, {}, "open: I/O error, from then on"},
    {Call::kDelete, Fault::kIoError, Lasting::kOnce, {}, "delete: I/O error, once"},
    {Call::kDelete, Fault::kPowerCut, {}, Unsynced::kPart, "delete: power cut, unsynced bytes in part"},
    {Call::kDelete, Fault::kPowerCut, {}, Unsynced::kLost, "delete: power cut, unsynced bytes lost"},
    {Call::kRead, Fault::kIoError, Lasting::kOnce, {}, "read: I/O error, once"},
    {Call::kRead, Fault::kIoError, Lasting::kFromThenOn, {}, "read: I/O error, from then on"},
    {Call::kFileSize, Fault::kIoError, Lasting::kOnce, {}, "file size: I/O error, once"},
    {Call::kFileSize, Fault::kIoError, Lasting::kFromThenOn, {}, "file size: I/O error, from then on"},
};

std::string fast_folder() {
  std::error_code error;
  const bool is_there = std::filesystem::is_directory("/dev/shm", error);
  return is_there ? "/dev/shm" : "";
}

// Whether the fault came at all; the day's own calls may be fewer than were counted.
bool run_one(ScriptedDay& day, FailingDisk& disk, Side side, const Trial& trial, int nth, std::uint64_t seed) {
  day.begin();
  disk.watch(day.device(side).path);
  disk.fail_at(trial.call, nth, trial.fault, trial.lasting);
  const bool is_lie = trial.fault == Fault::kLostSync;
  const bool is_cut = trial.fault == Fault::kPowerCut;
  ScriptedDay::Acknowledged expected;
  bool lied = false;
  day.run([&](std::size_t step) {
    if (is_lie && disk.has_struck() && !lied) {
      lied = true;
      // No database can keep what the disk did not. Everything before the lie was synced.
      expected = day.acknowledged_before();
      if (trial.lasting == Lasting::kOnce) return true;
    }
    // A write-ahead log that was never synced and then emptied into the database may leave pages of two moments. SQLite cannot
    // help that, and it is not what is looked at here: the power goes before.
    if (is_lie && step + 1 == ScriptedDay::kFirstClose) return true;
    return is_cut && disk.has_struck();
  });
  if (!disk.has_struck()) {
    day.close_all();
    return false;
  }
  if (!is_lie) expected = day.acknowledged();
  if (is_lie || is_cut) {
    disk.stop();
    day.close_all();
    disk.cut_power(trial.unsynced, seed);
  } else {
    // The disk stays as bad as it was to the end.
    if (trial.lasting == Lasting::kFromThenOn) day.close_all();
    disk.heal();
    day.close_all();
  }
  const std::string trouble = day.find_trouble(expected);
  INFO((side == Side::kTablet ? "the tablet's disk, " : "the hub's disk, ") << trial.words << ", call " << nth << ", seed " << seed);
  REQUIRE(trouble == "");
  return true;
}

}  // namespace

TEST_CASE("a disk that fails at any call loses no acknowledged entry, and work can go on", "[crash][disk]") {
  FailingDisk disk;
  ScriptedDay day(fast_folder());
  Random random = test_random("disk faults");
  std::map<std::string, int> points;
  int sum = 0;
  for (const Side side : {Side::kTablet, Side::kHub}) {
    day.begin();
    disk.watch(day.device(side).path);
    day.run([](std::size_t) { return false; });
    const FailingDisk::Counts calls = disk.counts();
    REQUIRE(day.failed_steps() == 0);  // A day that fails by itself would show nothing.
    for (std::size_t i = 0; i < FailingDisk::kCalls; ++i)
      std::printf("%s: %d calls of %s in a day\n", side == Side::kTablet ? "tablet" : "hub", calls[i], kCallWords[i]);
    for (const Trial& trial : kTrials) {
      const int all = calls[static_cast<std::size_t>(trial.call)];
      for (int nth = 0; nth < all; ++nth) {
        if (!run_one(day, disk, side, trial, nth, random.next())) continue;
        ++points[trial.words];
        ++sum;
      }
    }
  }
  for (const auto& [words, count] : points) std::printf("crash: %5d points  %s\n", count, words.c_str());
  std::printf("crash: %d points of failing disks\n", sum);
  std::fflush(stdout);
  for (const Trial& trial : kTrials) {
    INFO(trial.words);
    CHECK(points[trial.words] > 0);
  }
  REQUIRE(sum > 1500);
}

TEST_CASE("without syncs a power cut does lose entries, so the test above can fail", "[crash][disk]") {
  FailingDisk disk;
  ScriptedDay day(fast_folder());
  day.begin();
  disk.watch(day.device(Side::kTablet).path);
  disk.fail_at(Call::kSync, 0, Fault::kLostSync, Lasting::kFromThenOn);
  day.run([](std::size_t step) { return step + 1 == ScriptedDay::kFirstClose; });
  REQUIRE(day.failed_steps() == 0);
  const ScriptedDay::Acknowledged all = day.acknowledged();
  disk.stop();
  day.close_all();
  disk.cut_power(Unsynced::kLost, 1);
  CHECK_THAT(day.find_trouble(all), Catch::Contains("acknowledged"));
}
