// The lock file beside a store.
#include <fcntl.h>
#include <fmt/format.h>
#include <sys/file.h>
#include <unistd.h>

#include <array>
#include <cerrno>
#include <cstring>
#include <utility>

#include "core/store/store.hpp"
#include "core/store/store_look.hpp"
#include "core/store/system_reason.hpp"

namespace nestcup {

namespace {

/// What stands in the lock file: "PID WHO".
std::string lock_text(int descriptor) {
  std::array<char, 256> buffer{};
  const ssize_t length = pread(descriptor, buffer.data(), buffer.size(), 0);
  std::string text(buffer.data(), length > 0 ? static_cast<std::size_t>(length) : 0);
  return text.substr(0, text.find('\n'));
}

/// "nestcupd (process 812)"
std::string holder_words(const std::string& holder) {
  const std::size_t blank = holder.find(' ');
  return blank == std::string::npos
             ? std::string("another process")
             : fmt::format("{} (process {})", holder.substr(blank + 1), holder.substr(0, blank));
}

Error held_error(const std::string& store_path, const std::string& holder) {
  const std::string who = holder_words(holder);
  return {Fault::try_later, fmt::format("{}: is being written by {}; ask that one, or end it first",
                                        store_path, who)};
}

Error open_error(const std::string& lock_path, int reason) {
  return {open_fault(reason, Fault::cannot_create),
          fmt::format("{}: the lock file cannot be opened: {}; {}", lock_path,
                      std::strerror(reason), advice_for_number(reason, "check the folder"))};
}

}  // namespace

Result<StoreLock> StoreLock::take(const std::string& store_path, const std::string& who) {
  const std::string lock_path = store_path + ".lock";
  const int descriptor = ::open(lock_path.c_str(), O_RDWR | O_CREAT | O_CLOEXEC, 0644);
  if (descriptor < 0) return open_error(lock_path, errno);
  StoreLock lock(descriptor);
  if (flock(descriptor, LOCK_EX | LOCK_NB) != 0) {
    const int reason = errno;
    if (reason == EWOULDBLOCK) return held_error(store_path, lock_text(descriptor));
    return open_error(lock_path, reason);
  }
  const std::string text = fmt::format("{} {}\n", getpid(), who);
  // A full disk must not keep anyone from the lock: the text only helps the next to be refused.
  static_cast<void>(ftruncate(descriptor, 0) == 0 &&
                    pwrite(descriptor, text.data(), text.size(), 0) > 0);
  return lock;
}

std::string store_writer(const std::string& path) {
  const int descriptor = ::open((path + ".lock").c_str(), O_RDONLY | O_CLOEXEC);
  if (descriptor < 0) return {};
  // A shared lock is refused where a writer holds its own; it goes with the descriptor.
  const bool is_held = flock(descriptor, LOCK_SH | LOCK_NB) != 0 && errno == EWOULDBLOCK;
  std::string who = is_held ? holder_words(lock_text(descriptor)) : std::string{};
  ::close(descriptor);
  return who;
}

StoreLock::StoreLock(StoreLock&& other) noexcept
    : descriptor_(std::exchange(other.descriptor_, -1)) {}

StoreLock& StoreLock::operator=(StoreLock&& other) noexcept {
  std::swap(descriptor_, other.descriptor_);
  return *this;
}

/// The file stays, since taking it away while another waits for it would give two holders.
StoreLock::~StoreLock() {
  if (descriptor_ >= 0) ::close(descriptor_);
}

}  // namespace nestcup
