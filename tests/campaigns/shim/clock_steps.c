/* For tests only: steps of the machine's clocks. Preloaded into a program, it adds to what
 * clock_gettime answers the nanoseconds in the file that NESTCUP_TEST_CLOCK_STEPS names: three
 * numbers of 64 bits, for CLOCK_REALTIME, CLOCK_MONOTONIC and CLOCK_BOOTTIME. The file is mapped, so
 * that a number written there counts at once. Timers of the kernel go on as they were. */
#define _GNU_SOURCE
#include <fcntl.h>
#include <stdint.h>
#include <stdlib.h>
#include <sys/mman.h>
#include <sys/syscall.h>
#include <time.h>
#include <unistd.h>

enum { REALTIME, MONOTONIC, BOOTTIME, CLOCKS };
enum { NS_PER_S = 1000000000 };

static const volatile int64_t* steps;

__attribute__((constructor)) static void map_steps(void) {
  const char* path = getenv("NESTCUP_TEST_CLOCK_STEPS");
  if (!path) return;
  const int file = open(path, O_RDONLY | O_CLOEXEC);
  void* mapped = MAP_FAILED;
  if (file >= 0) mapped = mmap(NULL, CLOCKS * sizeof *steps, PROT_READ, MAP_SHARED, file, 0);
  if (mapped == MAP_FAILED) abort();
  close(file);
  steps = mapped;
}

static int64_t step_of(clockid_t which) {
  if (!steps) return 0;
  if (which == CLOCK_REALTIME) return steps[REALTIME];
  if (which == CLOCK_MONOTONIC) return steps[MONOTONIC];
  return which == CLOCK_BOOTTIME ? steps[BOOTTIME] : 0;
}

int clock_gettime(clockid_t which, struct timespec* now) {
  const int code = (int)syscall(SYS_clock_gettime, which, now);
  if (code != 0) return code;
  const int64_t all_ns = (int64_t)now->tv_sec * NS_PER_S + now->tv_nsec + step_of(which);
  now->tv_sec = (time_t)(all_ns / NS_PER_S);
  now->tv_nsec = (long)(all_ns % NS_PER_S);
  return 0;
}
