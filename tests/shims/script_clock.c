/* The clock of the script, for a program that takes the system's: loaded before the C library it answers for the wall clock, as
 * consumer_c's device does, and leaves every other clock to the kernel. So the program that is tested is the one that ships. */
#define _GNU_SOURCE
#include <sys/syscall.h>
#include <time.h>
#include <unistd.h>

int clock_gettime(clockid_t clock, struct timespec* out) {
  static long long now_ms = 1790000000000;
  if (clock != CLOCK_REALTIME) return (int)syscall(SYS_clock_gettime, clock, out);
  now_ms += 1000;
  out->tv_sec = (time_t)(now_ms / 1000);
  out->tv_nsec = (long)(now_ms % 1000) * 1000000;
  return 0;
}
