/* What the shim is told by its surroundings; settings.c says which variables. */
#pragma once
#include <stdatomic.h>
#include <sys/types.h>

#pragma GCC visibility push(hidden)

enum fault_class {
  WRITE = 1,
  SYNC = 2,
  RENAME = 4,
  CREATE = 8,
  REMOVE = 16,
  TRUNCATE = 32,
  SEND = 64
};
enum fault_kind { NO_FAULT, FAIL, SHORTEN, SLOW, KILL, KILL_AFTER };
enum fault_socket { INET = 1, UNIX = 2 };

enum { FAULT_PATH_SIZE = 4096, FAULT_PREFIXES = 16 };

struct fault_settings {
  int prefixes;
  char prefix[FAULT_PREFIXES][FAULT_PATH_SIZE];
  int sockets; /* of fault_socket */
  int classes; /* of fault_class */
  enum fault_kind kind;
  int error; /* errno */
  long delay_ms;
  long first, last;          /* steps that get the fault, counted from 1 ... */
  long every;                /* ... and of these every so-many-th */
  char log[FAULT_PATH_SIZE]; /* empty: none */
  pid_t process;             /* the only one that counts; 0: its children do, too */
  atomic_long* count;        /* steps so far */
};

/* NULL until the variables have been read, and where nothing is to be counted. */
const struct fault_settings* fault_settings(void);

#pragma GCC visibility pop
