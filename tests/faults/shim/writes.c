/* Calls that write bytes, wait for them, or change a file's size. */
#define _GNU_SOURCE
#include <errno.h>
#include <fcntl.h>
#include <sys/sendfile.h>
#include <sys/socket.h>
#include <unistd.h>

#include "step.h"

/* Calls for large files are the same calls under a second name. */
_Static_assert(sizeof(off_t) == 8, "off_t has 64 bits");
#define SAME_AS(function) __attribute__((alias(#function)))

ssize_t write(int file, const void* data, size_t size) {
  struct fault_step step = {.call = "write", .kind_of_call = WRITE};
  if (fault_on_file(&step, file)) return -1;
  return fault_done(&step, NEXT(write)(file, data, fault_size(&step, size)));
}

ssize_t pwrite(int file, const void* data, size_t size, off_t at) {
  struct fault_step step = {.call = "pwrite", .kind_of_call = WRITE};
  if (fault_on_file(&step, file)) return -1;
  return fault_done(&step, NEXT(pwrite)(file, data, fault_size(&step, size), at));
}
ssize_t pwrite64(int file, const void* data, size_t size, off64_t at) SAME_AS(pwrite);

ssize_t writev(int file, const struct iovec* parts, int count) {
  struct fault_step step = {.call = "writev", .kind_of_call = WRITE};
  struct iovec room[FAULT_PARTS];
  if (fault_on_file(&step, file)) return -1;
  parts = fault_parts(&step, parts, &count, room);
  return fault_done(&step, NEXT(writev)(file, parts, count));
}

ssize_t pwritev(int file, const struct iovec* parts, int count, off_t at) {
  struct fault_step step = {.call = "pwritev", .kind_of_call = WRITE};
  struct iovec room[FAULT_PARTS];
  if (fault_on_file(&step, file)) return -1;
  parts = fault_parts(&step, parts, &count, room);
  return fault_done(&step, NEXT(pwritev)(file, parts, count, at));
}
ssize_t pwritev64(int file, const struct iovec* parts, int count, off64_t at) SAME_AS(pwritev);

ssize_t pwritev2(int file, const struct iovec* parts, int count, off_t at, int flags) {
  struct fault_step step = {.call = "pwritev2", .kind_of_call = WRITE};
  struct iovec room[FAULT_PARTS];
  if (fault_on_file(&step, file)) return -1;
  parts = fault_parts(&step, parts, &count, room);
  return fault_done(&step, NEXT(pwritev2)(file, parts, count, at, flags));
}
ssize_t pwritev64v2(int file, const struct iovec* parts, int count, off64_t at, int flags)
    SAME_AS(pwritev2);

ssize_t sendfile(int to, int from, off_t* at, size_t size) {
  struct fault_step step = {.call = "sendfile", .kind_of_call = WRITE};
  if (fault_on_file(&step, to)) return -1;
  return fault_done(&step, NEXT(sendfile)(to, from, at, fault_size(&step, size)));
}
ssize_t sendfile64(int to, int from, off64_t* at, size_t size) SAME_AS(sendfile);

ssize_t copy_file_range(int from, off64_t* from_at, int to, off64_t* at, size_t size,
                        unsigned flags) {
  struct fault_step step = {.call = "copy_file_range", .kind_of_call = WRITE};
  if (fault_on_file(&step, to)) return -1;
  size = fault_size(&step, size);
  return fault_done(&step, NEXT(copy_file_range)(from, from_at, to, at, size, flags));
}

int fsync(int file) {
  struct fault_step step = {.call = "fsync", .kind_of_call = SYNC};
  if (fault_on_file(&step, file)) return -1;
  return (int)fault_done(&step, NEXT(fsync)(file));
}

int fdatasync(int file) {
  struct fault_step step = {.call = "fdatasync", .kind_of_call = SYNC};
  if (fault_on_file(&step, file)) return -1;
  return (int)fault_done(&step, NEXT(fdatasync)(file));
}

int sync_file_range(int file, off64_t at, off64_t size, unsigned flags) {
  struct fault_step step = {.call = "sync_file_range", .kind_of_call = SYNC};
  if (fault_on_file(&step, file)) return -1;
  return (int)fault_done(&step, NEXT(sync_file_range)(file, at, size, flags));
}

int ftruncate(int file, off_t size) {
  struct fault_step step = {.call = "ftruncate", .kind_of_call = TRUNCATE};
  if (fault_on_file(&step, file)) return -1;
  return (int)fault_done(&step, NEXT(ftruncate)(file, size));
}
int ftruncate64(int file, off64_t size) SAME_AS(ftruncate);

int truncate(const char* path, off_t size) {
  struct fault_step step = {.call = "truncate", .kind_of_call = TRUNCATE};
  if (fault_on_path(&step, AT_FDCWD, path)) return -1;
  return (int)fault_done(&step, NEXT(truncate)(path, size));
}
int truncate64(const char* path, off64_t size) SAME_AS(truncate);

int fallocate(int file, int mode, off_t at, off_t size) {
  struct fault_step step = {.call = "fallocate", .kind_of_call = TRUNCATE};
  if (fault_on_file(&step, file)) return -1;
  return (int)fault_done(&step, NEXT(fallocate)(file, mode, at, size));
}
int fallocate64(int file, int mode, off64_t at, off64_t size) SAME_AS(fallocate);

int posix_fallocate(int file, off_t at, off_t size) {
  struct fault_step step = {.call = "posix_fallocate", .kind_of_call = TRUNCATE};
  const int before = errno;
  if (fault_on_file(&step, file)) {
    const int error = errno;
    errno = before;
    return error;
  }
  return fault_done_with(&step, NEXT(posix_fallocate)(file, at, size));
}
int posix_fallocate64(int file, off64_t at, off64_t size) SAME_AS(posix_fallocate);

ssize_t send(int socket, const void* data, size_t size, int flags) {
  struct fault_step step = {.call = "send", .kind_of_call = SEND};
  if (fault_on_file(&step, socket)) return -1;
  return fault_done(&step, NEXT(send)(socket, data, fault_size(&step, size), flags));
}

ssize_t sendto(int socket, const void* data, size_t size, int flags, const struct sockaddr* address,
               socklen_t address_size) {
  struct fault_step step = {.call = "sendto", .kind_of_call = SEND};
  if (fault_on_file(&step, socket)) return -1;
  size = fault_size(&step, size);
  return fault_done(&step, NEXT(sendto)(socket, data, size, flags, address, address_size));
}

ssize_t sendmsg(int socket, const struct msghdr* message, int flags) {
  struct fault_step step = {.call = "sendmsg", .kind_of_call = SEND};
  struct iovec room[FAULT_PARTS];
  if (fault_on_file(&step, socket)) return -1;
  if (step.fault != SHORTEN) return fault_done(&step, NEXT(sendmsg)(socket, message, flags));
  struct msghdr half = *message;
  int count = (int)message->msg_iovlen;
  half.msg_iov = (struct iovec*)fault_parts(&step, message->msg_iov, &count, room);
  half.msg_iovlen = (size_t)count;
  return fault_done(&step, NEXT(sendmsg)(socket, &half, flags));
}
