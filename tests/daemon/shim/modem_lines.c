/* For tests only: modem lines for pseudo-terminals, which have none. Preloaded into a program, it
 * answers ioctl(TIOCMGET) of character devices from the words in the file that
 * NESTCUP_TEST_MODEM_LINES names ("CTS", "DSR", both or neither) and passes on all else. Without
 * that variable or file everything is passed on. */
#define _GNU_SOURCE
#include <fcntl.h>
#include <stdarg.h>
#include <stdlib.h>
#include <string.h>
#include <sys/ioctl.h>
#include <sys/stat.h>
#include <sys/syscall.h>
#include <unistd.h>

/* Whether the file was there; its lines go to `bits`. */
static int lines_from_file(int* bits) {
  char words[64] = {0};
  const char* path = getenv("NESTCUP_TEST_MODEM_LINES");
  const int file = path ? open(path, O_RDONLY | O_CLOEXEC) : -1;
  if (file < 0) return 0;
  const ssize_t size = read(file, words, sizeof words - 1);
  close(file);
  if (size < 0) return 0;
  *bits = (strstr(words, "CTS") ? TIOCM_CTS : 0) | (strstr(words, "DSR") ? TIOCM_DSR : 0);
  return 1;
}

int ioctl(int descriptor, unsigned long request, ...) {
  va_list more;
  va_start(more, request);
  void* argument = va_arg(more, void*);
  va_end(more);
  struct stat device;
  if (request == TIOCMGET && fstat(descriptor, &device) == 0 && S_ISCHR(device.st_mode) &&
      lines_from_file(argument)) {
    return 0;
  }
  return (int)syscall(SYS_ioctl, descriptor, request, argument);
}
