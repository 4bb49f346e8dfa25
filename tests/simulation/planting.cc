#include "simulation/planting.h"

#include <sys/wait.h>
#include <unistd.h>

#include <cstdio>
#include <cstdlib>
#include <string_view>
#include <utility>

#include "base/planted.h"
#include "simulation/schedule.h"
#include "simulation/small_worlds.h"

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
    {"believe-an-unknown-base", "a vector that is not known is taken for what the hub holds"},
    {"edit-of-another-birth", "an edit meant for the record of a clone hits the one that has its number"},
    {"another-release-unnoticed", "records that another release arranged are shown as they stand"},
    {"review-not-redone", "what is flagged is not looked at again when a record is merged"},
    {"revoked-not-held", "what a revoked device brings counts at once"},
    {"lift-not-applied", "what an officer takes in stays out of account"},
    {"keep-a-history", "a record at hand keeps a change that goes out of account"},
    {"proof-at-another-device", "a proof that somebody was at one device is taken for another"},
    {"proof-without-end", "a proof is taken long after it has ended"},
    {"judge-no-early-edit", "an edit of a record that the hub has not written yet waits for it, and is judged by nobody"},
    {"act-at-a-device", "what only the hub may write counts when a device wrote it"},
    {"reuse-a-log", "a restored hub goes on in the log of its backup"},
};
// Small worlds have a short sequence for each, schedules seldom one.
constexpr Mistake kMistakesInSmallWorlds[] = {
    {"hold-not-heeded-again", "a hold is not folded again when its own decision is taken in"},
    {"drop-the-shared-run", "what a branch shares with its log in one run is dropped when the branch is moved"},
    {"trust-the-open-log", "an open process writes into the log that was its device's before another process opened one"},
    {"judge-before-the-birth", "the hub judges an edit without the birth that came with it"},
};
constexpr WorldsBudget kWorldsBudget{240, 5, 3, 0};
constexpr std::uint64_t kSchedulesMax = 3'000;
constexpr unsigned kScheduleSecondsMax = 60;  // Then it hangs.

// Runs in a child process: a mistake may end the program or hang it, and is found by that.
struct Hunt {
  bool is_found = false;
  bool is_met = false;      // Whether the program came to where the mistake is.
  std::uint64_t tries = 0;  // Schedules run, or worlds seen.
  std::string how;
};

struct Word {
  std::uint64_t tries = 0;
  bool is_met = false;
  char how[1000] = {};
};

using Hunter = void (*)(int to);

void tell(int to, std::uint64_t tries, const std::string& how) {
  Word word;
  word.tries = tries;
  word.is_met = planted_was_met;
  std::snprintf(word.how, sizeof word.how, "%s", how.substr(0, how.find('\n')).c_str());
  if (write(to, &word, sizeof word) != sizeof word) _exit(2);
}

void hunt_by_schedules(int to) {
  for (std::uint64_t n = 0; n < kSchedulesMax; ++n) {
    alarm(kScheduleSecondsMax);
    const Outcome outcome = run_schedule(schedule_seed(test_seed(), n));
    tell(to, n + 1, outcome.what);
    if (!outcome.is_sound) _exit(1);
  }
}

void hunt_in_small_worlds(int to) {
  const WorldsReport report = explore_small_worlds(kWorldsBudget);
  std::string how = report.failure ? report.failure->what + ", when" : "";
  const char* before = " ";
  for (const std::string& act : report.failure ? report.failure->acts : std::vector<std::string>()) how += std::exchange(before, "; ") + act;
  tell(to, report.worlds, how);
  if (report.failure) _exit(1);
}

Hunt hunt(const Mistake& mistake, Hunter hunter) {
  int ends[2];
  if (pipe(ends) != 0) return {false, false, 0, "no pipe"};
  std::fflush(stdout);
  const pid_t child = fork();
  if (child < 0) return {false, false, 0, "no process"};
  if (child == 0) {
    planted_mistake = mistake.name;
    hunter(ends[1]);
    _exit(0);
  }
  close(ends[1]);
  Word word, last;
  while (read(ends[0], &word, sizeof word) == sizeof word) last = word;
  close(ends[0]);
  int status = 0;
  waitpid(child, &status, 0);
  if (WIFSIGNALED(status)) return {true, true, last.tries + 1, "the program ended by signal " + std::to_string(WTERMSIG(status))};
  return {WEXITSTATUS(status) == 1, last.is_met, last.tries, last.how};
}

}  // namespace

int run_planted(const std::string& only) {
  int planted_count = 0, found = 0;
  const auto hunt_for = [&](const Mistake& mistake, Hunter hunter, const char* where, const char* tries) {
    if (!only.empty() && only != mistake.name) return;
    ++planted_count;
    const Hunt result = hunt(mistake, hunter);
    found += result.is_found;
    const auto count = static_cast<unsigned long long>(result.tries);
    if (result.is_found) {
      std::printf("ok %s (%s): found in %s %llu: %s\n", mistake.name, mistake.what, where, count, result.how.c_str());
    } else {
      const char* why = result.is_met ? "" : "; the program never came to where it is, or it is nowhere";
      std::printf("not ok %s (%s): not found in %llu %s%s\n", mistake.name, mistake.what, count, tries, why);
    }
    std::fflush(stdout);
  };
  for (const Mistake& mistake : kMistakes) hunt_for(mistake, hunt_by_schedules, "schedule", "schedules");
  for (const Mistake& mistake : kMistakesInSmallWorlds) hunt_for(mistake, hunt_in_small_worlds, "small world", "small worlds");
  std::printf("%d of %d planted mistakes found\n", found, planted_count);
  return planted_count > 0 && found == planted_count ? 0 : 1;
}

#endif

}  // namespace wrackline
