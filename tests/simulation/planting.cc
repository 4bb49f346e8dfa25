#include "simulation/planting.h"

#include <sys/wait.h>
#include <unistd.h>

#include <cstdio>
#include <cstdlib>
#include <string_view>

#include "base/planted.h"
#include "simulation/schedule.h"

namespace wrackline {

#ifndef WRACKLINE_PLANT

int run_planted(const std::string&) {
  std::printf("not ok planted: this build has no mistakes in it; configure one with -DWRACKLINE_PLANT=ON\n");
  return 1;
}

#else

namespace {

struct Mistake {
  const char* name;
  const char* what;
};

constexpr Mistake kMistakes[] = {
    {"drop-a-head", "of values that disagree the first is dropped"},
    {"trust-the-clock", "the latest stamp decides between values that disagree"},
    {"forget-a-strike", "a strike made without knowledge of an edit does not disagree with it"},
    {"lose-unknown-fields", "fields of a newer release are dropped where a record is merged"},
    {"skip-the-gap-check", "a segment behind a gap is taken for the next"},
    {"skip-the-seal-check", "seals are not verified"},
    {"apply-twice", "what overlaps with what is here already is taken in again"},
    {"drop-a-branch", "the second branch of a log is answered for and not kept"},
    {"branch-not-held", "the second branch counts without an officer's word"},
    {"branch-not-moved", "what is held of the other branch stays under the log's own id"},
    {"forget-the-fsync", "a commit is not synced"},
    {"acknowledge-before-commit", "an entry is acknowledged whether its commit went well or not"},
    {"keep-caches-on-rollback", "memory stays ahead of a database that was rolled back"},
    {"ignore-the-fence", "a database that lies behind its fence goes on with its log"},
    {"forget-early-edits", "edits that arrived before the birth of their record are not merged into it"},
    {"remember-the-cursor", "what the hub once held is believed for ever"},
    {"review-not-redone", "what is flagged is not looked at again when a record is merged"},
    {"revoked-not-held", "what a revoked device brings counts at once"},
    {"lift-not-applied", "what an officer takes in stays out of account"},
    {"reuse-a-log", "a restored hub goes on in the log of its backup"},
};
constexpr std::uint64_t kSchedulesMax = 3'000;
constexpr unsigned kScheduleSecondsMax = 60;  // Then it hangs.

// Runs in a child process: a mistake may end the program or hang it, and is found by that.
struct Hunt {
  bool is_found = false;
  std::uint64_t schedules = 0;
  std::string how;
};

struct Word {
  std::uint64_t schedules = 0;
  char how[240] = {};
};

Hunt hunt(const Mistake& mistake) {
  int ends[2];
  if (pipe(ends) != 0) return {false, 0, "no pipe"};
  std::fflush(stdout);
  const pid_t child = fork();
  if (child < 0) return {false, 0, "no process"};
  if (child == 0) {
    planted_mistake = mistake.name;
    for (std::uint64_t n = 0; n < kSchedulesMax; ++n) {
      alarm(kScheduleSecondsMax);
      const Outcome outcome = run_schedule(schedule_seed(test_seed(), n));
      Word word;
      word.schedules = n + 1;
      std::snprintf(word.how, sizeof word.how, "%s", outcome.what.substr(0, outcome.what.find('\n')).c_str());
      if (write(ends[1], &word, sizeof word) != sizeof word) _exit(2);
      if (!outcome.is_sound) _exit(1);
    }
    _exit(0);
  }
  close(ends[1]);
  Word word, last;
  while (read(ends[0], &word, sizeof word) == sizeof word) last = word;
  close(ends[0]);
  int status = 0;
  waitpid(child, &status, 0);
  if (WIFSIGNALED(status)) return {true, last.schedules + 1, "the program ended by signal " + std::to_string(WTERMSIG(status))};
  return {WEXITSTATUS(status) == 1, last.schedules, last.how};
}

}  // namespace

int run_planted(const std::string& only) {
  int planted_count = 0, found = 0;
  for (const Mistake& mistake : kMistakes) {
    if (!only.empty() && only != mistake.name) continue;
    ++planted_count;
    const Hunt result = hunt(mistake);
    found += result.is_found;
    if (result.is_found) {
      std::printf("ok %s (%s): found in schedule %llu: %s\n", mistake.name, mistake.what,
                  static_cast<unsigned long long>(result.schedules), result.how.c_str());
    } else {
      std::printf("not ok %s (%s): not found in %llu schedules\n", mistake.name, mistake.what,
                  static_cast<unsigned long long>(result.schedules));
    }
    std::fflush(stdout);
  }
  std::printf("%d of %d planted mistakes found\n", found, planted_count);
  return planted_count > 0 && found == planted_count ? 0 : 1;
}

#endif

}  // namespace wrackline
