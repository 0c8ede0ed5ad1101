#include "core/base/replaced_file.hpp"

#include <fcntl.h>
#include <fmt/format.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cerrno>
#include <cstring>
#include <filesystem>

#include "core/base/file_steps.hpp"

namespace nestcup {

namespace {

Error failed(const std::string& path, int reason) {
  Fault kind = Fault::io;
  if (reason == EACCES || reason == EPERM || reason == EROFS) kind = Fault::not_permitted;
  if (reason == ENOENT) kind = Fault::no_input;
  return {kind, fmt::format("{}: cannot be replaced ({}); check its folder's rights and room", path,
                            std::strerror(reason))};
}

/// An open file; closed with the object.
class Descriptor {
 public:
  explicit Descriptor(int number) : number_(number) {}
  Descriptor(const Descriptor&) = delete;
  Descriptor& operator=(const Descriptor&) = delete;
  ~Descriptor() {
    if (number_ >= 0) ::close(number_);
  }
  [[nodiscard]] int number() const { return number_; }

 private:
  int number_;
};

bool write_all(int file, std::string_view bytes) {
  while (!bytes.empty()) {
    const ssize_t written = ::write(file, bytes.data(), bytes.size());
    if (written < 0 && errno == EINTR) continue;
    if (written <= 0) return false;
    bytes.remove_prefix(static_cast<std::size_t>(written));
  }
  return true;
}

/// The new content with the old file's owner and mode, on the disk. @return errno, or 0
int write_beside(const std::string& beside, std::string_view bytes, const struct stat& old) {
  ::unlink(beside.c_str());
  const Descriptor file(
      ::open(beside.c_str(), O_WRONLY | O_CREAT | O_EXCL | O_NOFOLLOW | O_CLOEXEC, 0600));
  if (file.number() < 0) return errno;
  // Only root may give a file away, and others only to groups of theirs; the mode must come after
  // it, or it would lose bits.
  [[maybe_unused]] const bool is_its_group =
      ::fchown(file.number(), old.st_uid, old.st_gid) == 0 ||
      ::fchown(file.number(), static_cast<uid_t>(-1), old.st_gid) == 0;
  const bool is_there = write_all(file.number(), bytes) &&
                        ::fchmod(file.number(), old.st_mode & 07777U) == 0 &&
                        ::fsync(file.number()) == 0;
  return is_there ? 0 : errno;
}

}  // namespace

Result<void> replace_file(const std::string& path, std::string_view bytes) {
  std::error_code fault;
  const std::filesystem::path target = std::filesystem::canonical(path, fault);
  if (fault) return failed(path, fault.value());
  struct stat old {};
  if (::stat(target.c_str(), &old) != 0) return failed(path, errno);
  const std::string folder = target.parent_path().string();
  const std::string beside = folder + "/." + target.filename().string() + ".new";
  int reason = write_beside(beside, bytes, old);
  if (reason == 0 && ::rename(beside.c_str(), target.c_str()) != 0) reason = errno;
  if (reason != 0) {
    ::unlink(beside.c_str());
    return failed(path, reason);
  }
  reason = sync_folder(folder);
  if (reason != 0) return failed(path, reason);
  return {};
}

}  // namespace nestcup
