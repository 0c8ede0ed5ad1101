/* For tests only: faults at a chosen step. Preloaded into a program (LD_PRELOAD), it counts the
 * steps that touch what outlives the program, and lets a chosen one fail, stop half-way, come late
 * or be the last. A step is a call of libc of one of these classes:
 *
 *   write     write, pwrite, writev, pwritev, pwritev2, sendfile, copy_file_range
 *   sync      fsync, fdatasync, sync_file_range
 *   rename    rename, renameat, renameat2
 *   create    open and openat with O_CREAT (also of a file that is there), creat, fopen for "w" or
 *             "a", mkdir, mkdirat, link, linkat, symlink, symlinkat
 *   remove    unlink, unlinkat, rmdir, remove
 *   truncate  truncate, ftruncate, fallocate, posix_fallocate
 *   send      send, sendto, sendmsg; also calls of the class write on a socket
 *
 * NESTCUP_FAULT_PATHS     what counts, separated by ':'. Absolute paths are plain beginnings:
 *                         /d/a.db also means /d/a.db-wal; /d/ is that folder and what is in it.
 *                         "inet" and "unix" are sockets of these kinds, "socket" both. Without
 *                         this variable the shim passes everything on.
 * NESTCUP_FAULT_CALLS     classes that count, separated by ','; otherwise all
 * NESTCUP_FAULT_AT        number of the step that gets the fault, from 1 on; otherwise none does
 * NESTCUP_FAULT_FOR       how many steps after that get it, too, or "forever"; otherwise 0
 * NESTCUP_FAULT_EVERY     of these steps only every so-many-th gets it, the first one too; otherwise 1
 * NESTCUP_FAULT_KIND      error       the call is not made and fails; this one where none is named
 *                         short       write, send: half of the bytes are taken (of one byte all);
 *                                     other classes are left alone
 *                         slow        waits first
 *                         kill        the process kills itself (SIGKILL) instead
 *                         kill_after  ... when the call has returned
 * NESTCUP_FAULT_ERRNO     name of the error; otherwise EIO
 * NESTCUP_FAULT_MS        how long slow waits; otherwise 100
 * NESTCUP_FAULT_LOG       absolute path of a file that gets a line for each step: number, call,
 *                         path (the new one of two), outcome, separated by tabs. Outcomes: done,
 *                         shortened, done late, made to fail: NAME, killed before, killed after,
 *                         or the name of the error that the call had by itself. Threads may end
 *                         their steps in another order than they began them.
 * NESTCUP_FAULT_CHILDREN  a file of 8 zero bytes: the program and all that it starts count
 *                         together in it. Otherwise the first process counts alone, from 0 again
 *                         where it puts another program in its place.
 * NESTCUP_FAULT_PROCESS   set by the shim itself: the process that counts alone
 *
 * A variable that is wrong ends the program with exit code 64 before it begins.
 *
 * Out of reach: what libc does inside itself, which are the bytes of a FILE* (not those of C++
 * streams, which write by themselves) and mkstemp; memory that is mapped (SQLite's -shm); programs
 * without libc. Where the last name of a path is a symbolic link, open counts under the link,
 * writes count under the file.
 *
 * The shim has no sanitizer. Programs with gcc's AddressSanitizer refuse libraries before its own
 * unless ASAN_OPTIONS has verify_asan_link_order=0 (faults.py sets it). */
#define _GNU_SOURCE
#include "settings.h"

#include <errno.h>
#include <fcntl.h>
#include <limits.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/mman.h>
#include <sysexits.h>
#include <unistd.h>

#include "paths.h"

static struct fault_settings settings;
static atomic_long own_count;
static atomic_int in_use;

static _Noreturn void refuse(const char* variable, const char* value, const char* wanted) {
  dprintf(STDERR_FILENO, "fault shim: %s is \"%s\", but should be %s\n", variable, value, wanted);
  _exit(EX_USAGE);
}

static long number(const char* variable, long otherwise) {
  const char* text = getenv(variable);
  if (!text) return otherwise;
  char* end = NULL;
  errno = 0;
  const long value = strtol(text, &end, 10);
  if (end == text || *end || errno || value < 0) refuse(variable, text, "a whole number from 0 on");
  return value;
}

/* The next of the words that `apart` separates; `from` goes on behind it. */
static int next_word(const char** from, char apart, char* word, size_t size) {
  while (**from == apart) ++*from;
  const char* end = strchrnul(*from, apart);
  const size_t length = (size_t)(end - *from);
  if (length == 0 || length >= size) return 0;
  memcpy(word, *from, length);
  word[length] = 0;
  *from = end;
  return 1;
}

static void read_paths(const char* text) {
  char word[FAULT_PATH_SIZE];
  for (const char* from = text; next_word(&from, ':', word, sizeof word);) {
    if (strcmp(word, "socket") == 0) {
      settings.sockets = INET | UNIX;
    } else if (strcmp(word, "inet") == 0) {
      settings.sockets |= INET;
    } else if (strcmp(word, "unix") == 0) {
      settings.sockets |= UNIX;
    } else if (word[0] != '/' || settings.prefixes == FAULT_PREFIXES) {
      refuse("NESTCUP_FAULT_PATHS", text, "up to 16 absolute paths, or socket, inet, unix");
    } else {
      fault_resolve_prefix(word, settings.prefix[settings.prefixes++]);
    }
  }
}

static void read_classes(const char* text) {
  static const char* const names[] = {"write",  "sync",     "rename", "create",
                                      "remove", "truncate", "send"};
  char word[32];
  for (const char* from = text; *from;) {
    int bit = -1;
    if (next_word(&from, ',', word, sizeof word)) {
      for (int i = 0; i < 7; ++i) {
        if (strcmp(word, names[i]) == 0) bit = i;
      }
    }
    if (bit < 0) {
      refuse("NESTCUP_FAULT_CALLS", text, "of write,sync,rename,create,remove,truncate,send");
    }
    settings.classes |= 1 << bit;
  }
}

static void read_kind(const char* text) {
  static const char* const names[] = {"", "error", "short", "slow", "kill", "kill_after"};
  for (int i = 1; i < 6; ++i) {
    if (strcmp(text, names[i]) == 0) settings.kind = (enum fault_kind)i;
  }
  if (settings.kind == NO_FAULT) {
    refuse("NESTCUP_FAULT_KIND", text, "error, short, slow, kill or kill_after");
  }
}

static void read_error(const char* name) {
  for (int i = 1; i < 256; ++i) {
    const char* known = strerrorname_np(i);
    if (known && strcmp(known, name) == 0) settings.error = i;
  }
  if (!settings.error) refuse("NESTCUP_FAULT_ERRNO", name, "a name such as ENOSPC");
}

static void read_span(void) {
  settings.first = number("NESTCUP_FAULT_AT", 0);
  settings.last = settings.first;
  const char* span = getenv("NESTCUP_FAULT_FOR");
  if (span && strcmp(span, "forever") == 0) {
    settings.last = LONG_MAX;
  } else if (span) {
    const long more = number("NESTCUP_FAULT_FOR", 0);
    settings.last = more > LONG_MAX - settings.first ? LONG_MAX : settings.first + more;
  }
  settings.every = number("NESTCUP_FAULT_EVERY", 1);
  if (settings.every == 0) refuse("NESTCUP_FAULT_EVERY", "0", "a whole number from 1 on");
}

/* The count: in memory of this process, or in a file that its children map, too. */
static void open_count(void) {
  settings.count = &own_count;
  const char* path = getenv("NESTCUP_FAULT_CHILDREN");
  if (path) {
    const int file = open(path, O_RDWR | O_CLOEXEC);
    void* shared = MAP_FAILED;
    if (file >= 0) {
      shared = mmap(NULL, sizeof(atomic_long), PROT_READ | PROT_WRITE, MAP_SHARED, file, 0);
      if (lseek(file, 0, SEEK_END) < (off_t)sizeof(atomic_long)) shared = MAP_FAILED;
      close(file);
    }
    if (shared == MAP_FAILED) {
      refuse("NESTCUP_FAULT_CHILDREN", path, "a file of at least 8 bytes, zero at first");
    }
    settings.count = shared;
    return;
  }
  settings.process = (pid_t)number("NESTCUP_FAULT_PROCESS", 0);
  if (settings.process) return;
  /* Programs that this one starts read it, and keep still. */
  char text[24];
  settings.process = getpid();
  snprintf(text, sizeof text, "%d", (int)settings.process);
  setenv("NESTCUP_FAULT_PROCESS", text, 1);
}

__attribute__((constructor)) static void read_surroundings(void) {
  const char* paths = getenv("NESTCUP_FAULT_PATHS");
  if (!paths) return;
  read_paths(paths);
  const char* classes = getenv("NESTCUP_FAULT_CALLS");
  read_classes(classes ? classes : "write,sync,rename,create,remove,truncate,send");
  read_span();
  if (settings.first > 0) {
    const char* kind = getenv("NESTCUP_FAULT_KIND");
    read_kind(kind ? kind : "error");
    const char* error = getenv("NESTCUP_FAULT_ERRNO");
    read_error(error ? error : "EIO");
    settings.delay_ms = number("NESTCUP_FAULT_MS", 100);
  }
  const char* log = getenv("NESTCUP_FAULT_LOG");
  if (log) {
    if (log[0] != '/' || strlen(log) >= sizeof settings.log) {
      refuse("NESTCUP_FAULT_LOG", log, "an absolute path");
    }
    strcpy(settings.log, log);
  }
  open_count();
  atomic_store(&in_use, 1);
}

const struct fault_settings* fault_settings(void) {
  if (!atomic_load(&in_use)) return NULL;
  return settings.process == 0 || settings.process == getpid() ? &settings : NULL;
}
