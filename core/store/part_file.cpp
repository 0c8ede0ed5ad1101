#include "core/store/part_file.hpp"

#include <fcntl.h>
#include <fmt/format.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cerrno>
#include <cstring>
#include <filesystem>
#include <utility>

#include "core/base/file_steps.hpp"
#include "core/store/system_reason.hpp"

namespace nestcup {

namespace {

namespace fs = std::filesystem;

Error taken(const std::string& path) {
  return {Fault::cannot_create,
          fmt::format("{}: is there already and stays as it is; name another file", path)};
}

Error part_error(const std::string& path, int reason) {
  if (reason == EEXIST) return taken(path);
  return {open_fault(reason, reason == ENOENT ? Fault::cannot_create : Fault::io),
          fmt::format("{}: cannot be made: {}; {}", path, std::strerror(reason),
                      advice_for_number(reason, "check its folder"))};
}

std::string folder_above(const std::string& path) {
  return fs::absolute(path).parent_path().string();
}

/// Whether the name still leads to the file that is open: another may have given it its own.
bool leads_to(const std::string& path, int descriptor) {
  struct stat named {};
  struct stat opened {};
  return ::stat(path.c_str(), &named) == 0 && ::fstat(descriptor, &opened) == 0 &&
         named.st_dev == opened.st_dev && named.st_ino == opened.st_ino;
}

/// What SQLite keeps beside a file under way, and leaves where the program is cut off. It must not
/// be taken for that of the next file of this name.
void remove_journal(const std::string& part) {
  ::unlink((part + "-journal").c_str());
}

}  // namespace

Result<PartFile> PartFile::beside(const std::string& path) {
  std::error_code fault;
  if (fs::exists(fs::symlink_status(path, fault))) return taken(path);
  const std::string name = fs::path(path).filename().string();
  if (name.empty()) {
    return Error{Fault::cannot_create, fmt::format("\"{}\": is no name for a file", path)};
  }
  const std::string part = fmt::format("{}/.{}.part", folder_above(path), name);
  const int descriptor = ::open(part.c_str(), O_RDWR | O_CREAT | O_NOFOLLOW | O_CLOEXEC, 0600);
  if (descriptor < 0) return part_error(path, errno);
  PartFile file(path, part, descriptor);
  if (::flock(descriptor, LOCK_EX | LOCK_NB) != 0 || !leads_to(part, descriptor)) {
    ::close(std::exchange(file.descriptor_, -1));
    return Error{Fault::try_later,
                 fmt::format("{}: another program is making it; wait for that one", path)};
  }
  remove_journal(part);
  if (::ftruncate(descriptor, 0) != 0) return part_error(path, errno);
  return file;
}

PartFile::PartFile(PartFile&& other) noexcept
    : final_path_(std::move(other.final_path_)),
      path_(std::move(other.path_)),
      descriptor_(std::exchange(other.descriptor_, -1)),
      named_(other.named_) {}

PartFile::~PartFile() {
  if (descriptor_ < 0) return;
  if (!named_) {
    remove_journal(path_);
    ::unlink(path_.c_str());
  }
  ::close(descriptor_);
}

std::int64_t PartFile::bytes() const {
  struct stat about {};
  return ::fstat(descriptor_, &about) == 0 ? about.st_size : 0;
}

Result<void> PartFile::give_name(mode_t mode) {
  if (::fchmod(descriptor_, mode) != 0 || ::fsync(descriptor_) != 0) {
    return part_error(final_path_, errno);
  }
  const int reason = rename_unless_taken(path_, final_path_);
  if (reason != 0) return part_error(final_path_, reason);
  named_ = true;
  const int unsynced = sync_folder(folder_above(final_path_));
  if (unsynced != 0) return part_error(final_path_, unsynced);
  return {};
}

}  // namespace nestcup
