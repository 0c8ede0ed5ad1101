#define _GNU_SOURCE
#include "paths.h"

#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <string.h>
#include <sys/socket.h>
#include <sys/syscall.h>
#include <unistd.h>

static void link_text(const char* link, char* text) {
  const ssize_t size = readlink(link, text, FAULT_PATH_SIZE - 1);
  text[size < 0 ? 0 : size] = 0;
}

void fault_path_of(int descriptor, char* text) {
  const int before = errno;
  char link[40];
  snprintf(link, sizeof link, "/proc/self/fd/%d", descriptor);
  link_text(link, text);
  errno = before;
}

/* Where the kernel ends up with `path`; empty where there is nothing. By syscalls, as the shim
 * stands before open itself. */
static void resolve(int folder, const char* path, char* text) {
  text[0] = 0;
  const int file = (int)syscall(SYS_openat, folder, path, O_PATH | O_CLOEXEC);
  if (file < 0) return;
  fault_path_of(file, text);
  close(file);
}

/* `text` and what follows it, cut where there is no more room. */
static void append(char* text, const char* more) {
  strncat(text, more, FAULT_PATH_SIZE - 1 - strlen(text));
}

void fault_path_at(int folder, const char* path, char* text) {
  const int before = errno;
  char parent[FAULT_PATH_SIZE];
  size_t size = strnlen(path, sizeof parent - 1);
  while (size > 1 && path[size - 1] == '/') --size;
  size_t name = size;
  while (name > 0 && path[name - 1] != '/') --name;
  memcpy(parent, path, name);
  parent[name] = 0;
  resolve(folder, name ? parent : ".", text);
  if (!text[0]) {
    /* There is no such folder, so that the call will fail; its words say enough. */
    append(text, parent);
  } else if (strcmp(text, "/") != 0) {
    append(text, "/");
  }
  strncat(text, path + name,
          size - name < FAULT_PATH_SIZE - 1 - strlen(text) ? size - name
                                                           : FAULT_PATH_SIZE - 1 - strlen(text));
  errno = before;
}

void fault_resolve_prefix(const char* path, char* text) {
  resolve(AT_FDCWD, path, text);
  if (!text[0]) fault_path_at(AT_FDCWD, path, text);
  const size_t size = strlen(path);
  if (size > 1 && path[size - 1] == '/') append(text, "/");
}

int fault_socket_of(int descriptor) {
  const int before = errno;
  int domain = -1;
  socklen_t size = sizeof domain;
  const int failed = getsockopt(descriptor, SOL_SOCKET, SO_DOMAIN, &domain, &size);
  errno = before;
  if (failed) return 0;
  return domain == AF_INET || domain == AF_INET6 ? INET : domain == AF_UNIX ? UNIX : 0;
}

int fault_is_under(const struct fault_settings* settings, const char* path) {
  for (int i = 0; i < settings->prefixes; ++i) {
    const char* prefix = settings->prefix[i];
    const size_t size = strlen(prefix);
    if (strncmp(path, prefix, size) == 0) return 1;
    /* "/d/" is the folder itself, too, whose sync makes its names last. */
    const int is_folder = size > 1 && prefix[size - 1] == '/';
    if (is_folder && strlen(path) == size - 1 && strncmp(path, prefix, size - 1) == 0) return 1;
  }
  return 0;
}
