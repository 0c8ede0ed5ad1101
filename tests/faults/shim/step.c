#define _GNU_SOURCE
#include "step.h"

#include <dlfcn.h>
#include <errno.h>
#include <fcntl.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/syscall.h>
#include <time.h>
#include <unistd.h>

#include "paths.h"

void* fault_next(_Atomic(void*)* slot, const char* name) {
  void* found = atomic_load(slot);
  if (!found) {
    found = dlsym(RTLD_NEXT, name);
    if (!found) abort();
    atomic_store(slot, found);
  }
  return found;
}

/* Appends the step to the log, in one write, so that lines of threads and processes stay whole. */
static void note(const struct fault_step* step, const char* outcome) {
  const struct fault_settings* settings = fault_settings();
  if (!settings || !settings->log[0]) return;
  const int before = errno;
  char line[FAULT_PATH_SIZE + 200];
  int size =
      snprintf(line, sizeof line, "%ld\t%s\t%s\t%s", step->number, step->call, step->path, outcome);
  int columns = 0;
  for (int i = 0; i < size; ++i) {
    if (line[i] == '\t' && ++columns <= 3) continue;
    if ((unsigned char)line[i] < ' ') line[i] = '?';
  }
  line[size++] = '\n';
  const int flags = O_WRONLY | O_APPEND | O_CREAT | O_CLOEXEC;
  const int file = (int)syscall(SYS_openat, AT_FDCWD, settings->log, flags, 0600);
  if (file < 0 || syscall(SYS_write, file, line, size) != size) abort();
  close(file);
  errno = before;
}

static _Noreturn void die(void) {
  kill(getpid(), SIGKILL);
  for (;;) pause();
}

static void wait_ms(long delay_ms) {
  const int before = errno;
  struct timespec left = {delay_ms / 1000, delay_ms % 1000 * 1000000};
  while (nanosleep(&left, &left) != 0 && errno == EINTR) continue;
  errno = before;
}

/* Counts, and decides what the step gets. */
static int begin(struct fault_step* step, const struct fault_settings* settings) {
  if (!(settings->classes & step->kind_of_call)) return 0;
  step->number = atomic_fetch_add(settings->count, 1) + 1;
  if (step->number < settings->first || step->number > settings->last) return 0;
  if ((step->number - settings->first) % settings->every != 0) return 0;
  step->fault = settings->kind;
  if (step->fault == SLOW) wait_ms(settings->delay_ms);
  if (step->fault == KILL) {
    note(step, "killed before");
    die();
  }
  if (step->fault != FAIL) return 0;
  char outcome[60];
  snprintf(outcome, sizeof outcome, "made to fail: %s", strerrorname_np(settings->error));
  note(step, outcome);
  errno = settings->error;
  return 1;
}

int fault_on_file(struct fault_step* step, int descriptor) {
  const struct fault_settings* settings = fault_settings();
  if (!settings) return 0;
  fault_path_of(descriptor, step->path);
  if (strncmp(step->path, "socket:", 7) == 0) {
    /* Whatever the call, bytes for a socket are sent. */
    step->kind_of_call = SEND;
    return settings->sockets & fault_socket_of(descriptor) ? begin(step, settings) : 0;
  }
  return fault_is_under(settings, step->path) ? begin(step, settings) : 0;
}

int fault_on_path(struct fault_step* step, int folder, const char* path) {
  const struct fault_settings* settings = fault_settings();
  if (!settings || !path) return 0;
  fault_path_at(folder, path, step->path);
  return fault_is_under(settings, step->path) ? begin(step, settings) : 0;
}

int fault_on_paths(struct fault_step* step, int from_folder, const char* from, int folder,
                   const char* path) {
  const struct fault_settings* settings = fault_settings();
  if (!settings || !from || !path) return 0;
  fault_path_at(from_folder, from, step->path);
  const int is_under = fault_is_under(settings, step->path);
  fault_path_at(folder, path, step->path);
  return is_under || fault_is_under(settings, step->path) ? begin(step, settings) : 0;
}

size_t fault_size(struct fault_step* step, size_t size) {
  /* Half of one byte is none, and callers may try that again for ever. */
  if (step->fault != SHORTEN || size < 2) return size;
  step->was_shortened = 1;
  return size / 2;
}

const struct iovec* fault_parts(struct fault_step* step, const struct iovec* parts, int* count,
                                struct iovec room[FAULT_PARTS]) {
  if (step->fault != SHORTEN) return parts;
  size_t whole = 0;
  for (int i = 0; i < *count; ++i) whole += parts[i].iov_len;
  size_t left = fault_size(step, whole);
  int used = 0;
  for (; used < *count && used < FAULT_PARTS && left > 0; ++used) {
    room[used] = parts[used];
    if (room[used].iov_len > left) room[used].iov_len = left;
    left -= room[used].iov_len;
  }
  *count = used;
  return room;
}

/* The end of a step whose call has succeeded (error 0) or not. */
static void end(const struct fault_step* step, int error) {
  if (step->number == 0) return;
  const char* outcome = error ? strerrorname_np(error) : "done";
  if (step->was_shortened && !error) outcome = "shortened";
  if (step->fault == SLOW && !error) outcome = "done late";
  if (step->fault == KILL_AFTER) {
    note(step, "killed after");
    die();
  }
  note(step, outcome ? outcome : "failed");
}

long fault_done(struct fault_step* step, long result) {
  end(step, result < 0 ? errno : 0);
  return result;
}

int fault_done_with(struct fault_step* step, int error) {
  end(step, error);
  return error;
}
