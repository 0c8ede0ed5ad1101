/* One step of a process, from before its call to after it. Each wrapper goes the same way:
 *
 *   struct fault_step step = {.call = "fsync", .kind_of_call = SYNC};
 *   if (fault_on_file(&step, descriptor)) return -1;
 *   return (int)fault_done(&step, NEXT(fsync)(descriptor));
 */
#pragma once
#include <stddef.h>
#include <sys/types.h>
#include <sys/uio.h>

#include "settings.h"

#pragma GCC visibility push(hidden)

struct fault_step {
  const char* call;
  enum fault_class kind_of_call;
  long number;           /* 0: is not counted */
  enum fault_kind fault; /* what it gets */
  int was_shortened;
  char path[FAULT_PATH_SIZE];
};

/* Counts the step and does what comes before the call. @return whether the call must fail, with
 * errno set; a step that is not counted passes */
int fault_on_file(struct fault_step* step, int descriptor);
int fault_on_path(struct fault_step* step, int folder, const char* path);
/* Counts where one of the two paths is to be counted; the second is shown. */
int fault_on_paths(struct fault_step* step, int from_folder, const char* from, int folder,
                   const char* path);

/* How many bytes the call may write of `size`: half of them where the step is shortened. */
size_t fault_size(struct fault_step* step, size_t size);

enum { FAULT_PARTS = 64 };
/* The same for parts, whose shortened list goes to `room`. @return the list to write */
const struct iovec* fault_parts(struct fault_step* step, const struct iovec* parts, int* count,
                                struct iovec room[FAULT_PARTS]);

/* Does what comes after the call. @return what the call returned; errno stays, too */
long fault_done(struct fault_step* step, long result);
/* The same for calls that return an error's number and leave errno alone. */
int fault_done_with(struct fault_step* step, int error);

/* The function that would have been called without this library. */
void* fault_next(_Atomic(void*)* slot, const char* name);
#define NEXT(function)                                   \
  ({                                                     \
    static _Atomic(void*) slot;                          \
    (__typeof__(&function))fault_next(&slot, #function); \
  })

#pragma GCC visibility pop
