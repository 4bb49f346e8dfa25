// Goal: kill -9 at any moment loses no acknowledged entry and never leaves a database that cannot go on.
// Method: a real process logs, edits and seals on a real file and says what was acknowledged through a pipe;
// it is killed at a random moment, the file is opened, and everything it said must be there, the chain and the
// projections right. Then the next process goes on with the same file.
#include <fcntl.h>
#include <signal.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

#include <set>

#include "support/random.h"
#include "support/shift.h"

using namespace wrackline;

namespace {

// The writer tells the seq of the last acknowledged change of its log of meals.
[[noreturn]] void write_until_killed(Device& device, RecordId person, std::uint64_t seed, int pipe_end) {
  Random random(seed);
  device.reopen();
  Shift shift(device, person);
  const RecordId animal = shift.animal("Nereid"), food = shift.food("herring");
  std::vector<RecordId> portions;
  for (std::uint32_t i = 0;; ++i) {
    *device.clock += 1000;
    std::uint32_t acknowledged = 0;
    if (!portions.empty() && random.once_in(3)) {
      acknowledged = must(shift.try_left(random.pick(portions), random.below(50'000), "weighed")).seq;
    } else {
      const auto [meal, portion] = shift.meal(animal, food, i % 1440, 1'000'000);
      portions.push_back(portion);
      acknowledged = portion.seq;
    }
    if (write(pipe_end, &acknowledged, sizeof acknowledged) != sizeof acknowledged) _exit(1);
    if (random.once_in(6)) must(device.replica->author().seal());
  }
}

std::uint32_t read_acknowledged(int pipe_end) {
  std::uint32_t value = 0, last = 0;
  while (read(pipe_end, &value, sizeof value) == sizeof value) last = value;
  return last;
}

}  // namespace

TEST_CASE("six hundred kills at random moments lose no acknowledged entry", "[crash]") {
  Random random = test_random("crash");
  Facility facility;
  Device& tablet = facility.add_device("north tablet");
  must(facility.exchange(tablet));
  std::uint32_t acknowledged_before = 0;
  int kills = 0, kills_with_work = 0;
  std::uint64_t checked = 0;
  for (; kills < 620; ++kills) {
    tablet.replica.reset();
    int ends[2];
    REQUIRE(pipe(ends) == 0);
    const std::uint64_t seed = random.next();
    const pid_t writer = fork();
    REQUIRE(writer >= 0);
    if (writer == 0) {
      close(ends[0]);
      write_until_killed(tablet, facility.keeper(), seed, ends[1]);
    }
    close(ends[1]);
    timespec pause{0, static_cast<long>(1'000'000 + random.below(60'000'000))};
    nanosleep(&pause, nullptr);
    REQUIRE(kill(writer, SIGKILL) == 0);
    int status = 0;
    REQUIRE(waitpid(writer, &status, 0) == writer);
    REQUIRE(WIFSIGNALED(status));  // It did not end by itself, which would be a failure of its own.
    const std::uint32_t acknowledged = read_acknowledged(ends[0]);
    close(ends[0]);

    tablet.reopen();
    const LogEntry* own = tablet.replica->store().logs().find(tablet.replica->author().log(LogClass::kBulk));
    const Seq head = own == nullptr ? 0 : own->head.seq;
    INFO("kill " << kills << ", acknowledged up to " << acknowledged);
    REQUIRE(head >= acknowledged);
    REQUIRE(head >= acknowledged_before);
    kills_with_work += acknowledged != 0;
    acknowledged_before = std::max(acknowledged, acknowledged_before);
    if (kills % 20 == 19) {
      // Every change is readable, the chain holds, the projections are those a rebuild gives.
      Shift shift(tablet, facility.keeper());
      proto::Call verify;
      verify.mutable_verify();
      const proto::VerifyReply result = shift.call(verify).verify();
      REQUIRE(result.problems_size() == 0);
      REQUIRE(shift.rebuild().same());
      checked += result.changes();
    }
  }
  std::printf("crash: %d kills, %d of them with entries acknowledged, %u changes in the log at the end\n", kills,
              kills_with_work, acknowledged_before);
  REQUIRE(kills_with_work > 200);
  REQUIRE(checked > 0);
  must(facility.exchange(tablet));
  REQUIRE(state_of(tablet) == state_of(facility.hub()));
}
