/* Calls that make, move or remove a name in a folder. */
#define _GNU_SOURCE
#include <errno.h>
#include <fcntl.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "step.h"

#define SAME_AS(function) __attribute__((alias(#function)))

/* The mode is only there where a file may be made. */
static int has_mode(int flags) {
  return (flags & O_CREAT) || (flags & O_TMPFILE) == O_TMPFILE;
}

int open(const char* path, int flags, ...) {
  struct fault_step step = {.call = "open", .kind_of_call = CREATE};
  mode_t mode = 0;
  if (has_mode(flags)) {
    va_list more;
    va_start(more, flags);
    mode = va_arg(more, mode_t);
    va_end(more);
  }
  if ((flags & O_CREAT) && fault_on_path(&step, AT_FDCWD, path)) return -1;
  return (int)fault_done(&step, NEXT(open)(path, flags, mode));
}
int open64(const char* path, int flags, ...) SAME_AS(open);

int openat(int folder, const char* path, int flags, ...) {
  struct fault_step step = {.call = "openat", .kind_of_call = CREATE};
  mode_t mode = 0;
  if (has_mode(flags)) {
    va_list more;
    va_start(more, flags);
    mode = va_arg(more, mode_t);
    va_end(more);
  }
  if ((flags & O_CREAT) && fault_on_path(&step, folder, path)) return -1;
  return (int)fault_done(&step, NEXT(openat)(folder, path, flags, mode));
}
int openat64(int folder, const char* path, int flags, ...) SAME_AS(openat);

int creat(const char* path, mode_t mode) {
  struct fault_step step = {.call = "creat", .kind_of_call = CREATE};
  if (fault_on_path(&step, AT_FDCWD, path)) return -1;
  return (int)fault_done(&step, NEXT(creat)(path, mode));
}
int creat64(const char* path, mode_t mode) SAME_AS(creat);

/* C++ file streams open their files this way, and libc opens them where nobody else sees it. */
FILE* fopen(const char* path, const char* mode) {
  struct fault_step step = {.call = "fopen", .kind_of_call = CREATE};
  if (strpbrk(mode, "wa") && fault_on_path(&step, AT_FDCWD, path)) return NULL;
  FILE* file = NEXT(fopen)(path, mode);
  fault_done(&step, file ? 0 : -1);
  return file;
}
FILE* fopen64(const char* path, const char* mode) SAME_AS(fopen);

int mkdir(const char* path, mode_t mode) {
  struct fault_step step = {.call = "mkdir", .kind_of_call = CREATE};
  if (fault_on_path(&step, AT_FDCWD, path)) return -1;
  return (int)fault_done(&step, NEXT(mkdir)(path, mode));
}

int mkdirat(int folder, const char* path, mode_t mode) {
  struct fault_step step = {.call = "mkdirat", .kind_of_call = CREATE};
  if (fault_on_path(&step, folder, path)) return -1;
  return (int)fault_done(&step, NEXT(mkdirat)(folder, path, mode));
}

int link(const char* from, const char* path) {
  struct fault_step step = {.call = "link", .kind_of_call = CREATE};
  if (fault_on_paths(&step, AT_FDCWD, from, AT_FDCWD, path)) return -1;
  return (int)fault_done(&step, NEXT(link)(from, path));
}

int linkat(int from_folder, const char* from, int folder, const char* path, int flags) {
  struct fault_step step = {.call = "linkat", .kind_of_call = CREATE};
  if (fault_on_paths(&step, from_folder, from, folder, path)) return -1;
  return (int)fault_done(&step, NEXT(linkat)(from_folder, from, folder, path, flags));
}

int symlink(const char* target, const char* path) {
  struct fault_step step = {.call = "symlink", .kind_of_call = CREATE};
  if (fault_on_path(&step, AT_FDCWD, path)) return -1;
  return (int)fault_done(&step, NEXT(symlink)(target, path));
}

int symlinkat(const char* target, int folder, const char* path) {
  struct fault_step step = {.call = "symlinkat", .kind_of_call = CREATE};
  if (fault_on_path(&step, folder, path)) return -1;
  return (int)fault_done(&step, NEXT(symlinkat)(target, folder, path));
}

int rename(const char* from, const char* path) {
  struct fault_step step = {.call = "rename", .kind_of_call = RENAME};
  if (fault_on_paths(&step, AT_FDCWD, from, AT_FDCWD, path)) return -1;
  return (int)fault_done(&step, NEXT(rename)(from, path));
}

int renameat(int from_folder, const char* from, int folder, const char* path) {
  struct fault_step step = {.call = "renameat", .kind_of_call = RENAME};
  if (fault_on_paths(&step, from_folder, from, folder, path)) return -1;
  return (int)fault_done(&step, NEXT(renameat)(from_folder, from, folder, path));
}

int renameat2(int from_folder, const char* from, int folder, const char* path, unsigned flags) {
  struct fault_step step = {.call = "renameat2", .kind_of_call = RENAME};
  if (fault_on_paths(&step, from_folder, from, folder, path)) return -1;
  return (int)fault_done(&step, NEXT(renameat2)(from_folder, from, folder, path, flags));
}

int unlink(const char* path) {
  struct fault_step step = {.call = "unlink", .kind_of_call = REMOVE};
  if (fault_on_path(&step, AT_FDCWD, path)) return -1;
  return (int)fault_done(&step, NEXT(unlink)(path));
}

int unlinkat(int folder, const char* path, int flags) {
  struct fault_step step = {.call = "unlinkat", .kind_of_call = REMOVE};
  if (fault_on_path(&step, folder, path)) return -1;
  return (int)fault_done(&step, NEXT(unlinkat)(folder, path, flags));
}

int rmdir(const char* path) {
  struct fault_step step = {.call = "rmdir", .kind_of_call = REMOVE};
  if (fault_on_path(&step, AT_FDCWD, path)) return -1;
  return (int)fault_done(&step, NEXT(rmdir)(path));
}

/* std::filesystem::remove; libc goes on to unlink or rmdir by itself. */
int remove(const char* path) {
  struct fault_step step = {.call = "remove", .kind_of_call = REMOVE};
  if (fault_on_path(&step, AT_FDCWD, path)) return -1;
  return (int)fault_done(&step, NEXT(remove)(path));
}
