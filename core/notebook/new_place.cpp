#include "core/notebook/new_place.hpp"

#include <fcntl.h>
#include <fmt/format.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cerrno>
#include <cstdio>
#include <filesystem>
#include <set>
#include <system_error>

namespace nestcup {
namespace {

namespace fs = std::filesystem;

// So many left-overs of one process number do not lie beside each other.
constexpr int most_names = 1000;

Error place_error(const std::string& path, std::string_view what, int number) {
  Fault kind = Fault::io;
  if (number == EACCES || number == EPERM || number == EROFS) kind = Fault::not_permitted;
  if (number == ENOENT || number == ENOTDIR) kind = Fault::cannot_create;
  return Error{kind,
               fmt::format("{}: {}: {}", path, what, std::generic_category().message(number))};
}

Error there_already(const std::string& path) {
  return Error{Fault::cannot_create, path + ": is there already; name another place"};
}

/// An open file that closes itself.
class OpenFile {
 public:
  OpenFile(const std::string& path, int flags) : number_(::open(path.c_str(), flags, 0666)) {}
  ~OpenFile() {
    if (number_ >= 0) ::close(number_);
  }
  OpenFile(const OpenFile&) = delete;
  OpenFile& operator=(const OpenFile&) = delete;

  [[nodiscard]] bool ok() const { return number_ >= 0; }
  [[nodiscard]] bool write_all(std::string_view bytes) const {
    while (!bytes.empty()) {
      const ssize_t count = ::write(number_, bytes.data(), bytes.size());
      if (count < 0 && errno != EINTR) return false;
      if (count > 0) bytes.remove_prefix(static_cast<std::size_t>(count));
    }
    return true;
  }
  [[nodiscard]] bool flush() const { return ::fsync(number_) == 0; }

 private:
  int number_;
};

std::string folder_above(const std::string& path) {
  const std::string parent = fs::path(path).parent_path().string();
  return parent.empty() ? "." : parent;
}

/// A name beside `path` that nothing has.
std::string name_beside(const std::string& path, int number) {
  const std::string name = fs::path(path).filename().string();
  return (fs::path(folder_above(path)) / fmt::format(".{}.{}-{}.new", name, ::getpid(), number))
      .string();
}

Result<void> flush_folder(const std::string& folder) {
  const OpenFile file(folder, O_RDONLY | O_DIRECTORY | O_CLOEXEC);
  // File systems that cannot flush a folder say EINVAL; there is no more to be done there.
  if (!file.ok() || (!file.flush() && errno != EINVAL)) {
    return place_error(folder, "cannot be flushed to the disk", errno);
  }
  return {};
}

/// Everything into a file that was just made; `shown` is its name for messages.
Result<void> fill_file(const OpenFile& file, std::string_view bytes, const std::string& shown) {
  if (!file.ok()) return place_error(shown, "cannot be made", errno);
  if (!file.write_all(bytes)) return place_error(shown, "writing failed", errno);
  if (!file.flush()) return place_error(shown, "cannot be flushed to the disk", errno);
  return {};
}

constexpr int new_file_flags = O_WRONLY | O_CREAT | O_EXCL | O_NOFOLLOW | O_CLOEXEC;

/// A new file beside `path` with these bytes; its name.
Result<std::string> write_aside(const std::string& path, std::string_view bytes) {
  for (int i = 0; i < most_names; ++i) {
    const std::string aside = name_beside(path, i);
    const OpenFile file(aside, new_file_flags);
    if (!file.ok() && errno == EEXIST) continue;
    const Result<void> done = fill_file(file, bytes, path);
    if (done) return aside;
    if (file.ok()) ::unlink(aside.c_str());
    return done.error();
  }
  return place_error(path, "cannot be made", EEXIST);
}

/// Gives a file its name where nothing has it; 0 or the number of the error.
int name_file(const std::string& from, const std::string& to, IfThere if_there) {
  if (if_there == IfThere::replace) {
    return ::rename(from.c_str(), to.c_str()) == 0 ? 0 : errno;
  }
  if (::renameat2(AT_FDCWD, from.c_str(), AT_FDCWD, to.c_str(), RENAME_NOREPLACE) == 0) return 0;
  if (errno != EINVAL && errno != ENOSYS) return errno;
  // Not every file system knows that; a second name never takes another's place either.
  if (::link(from.c_str(), to.c_str()) != 0) return errno;
  ::unlink(from.c_str());
  return 0;
}

/// The same for a folder.
int name_folder(const std::string& from, const std::string& to) {
  if (::renameat2(AT_FDCWD, from.c_str(), AT_FDCWD, to.c_str(), RENAME_NOREPLACE) == 0) return 0;
  if (errno != EINVAL && errno != ENOSYS) return errno;
  // An empty folder of our own is the only thing that rename may put a folder in the place of.
  if (::mkdir(to.c_str(), 0777) != 0) return errno;
  if (::rename(from.c_str(), to.c_str()) == 0) return 0;
  const int number = errno;
  ::rmdir(to.c_str());
  return number;
}

/// Everything of the bundle into `folder`, which is new and empty, down to the disk; `shown` is its
/// name for messages.
Result<void> fill_folder(const std::string& folder, const std::vector<BundleFile>& files,
                         const std::string& shown) {
  std::set<std::string> folders = {folder};
  for (const BundleFile& file : files) {
    const fs::path path = fs::path(folder) / file.path;
    std::error_code code;
    fs::create_directories(path.parent_path(), code);
    const std::string name = (fs::path(shown) / file.path).string();
    if (code) return place_error(name, "its folder cannot be made", code.value());
    for (fs::path up = path.parent_path(); up != folder; up = up.parent_path()) {
      folders.insert(up.string());
    }
    const OpenFile made(path.string(), new_file_flags);
    if (auto done = fill_file(made, file.bytes, name); !done) return done.error();
  }
  for (const std::string& each : folders) {
    if (auto done = flush_folder(each); !done) return done.error();
  }
  return {};
}

}  // namespace

Result<void> write_whole(const std::string& path, std::string_view bytes, IfThere if_there) {
  std::error_code code;
  if (fs::is_directory(path, code)) return there_already(path + " (a folder)");
  if (if_there == IfThere::refuse && fs::exists(fs::symlink_status(path, code))) {
    return there_already(path);
  }
  const Result<std::string> aside = write_aside(path, bytes);
  if (!aside) return aside.error();
  const int number = name_file(*aside, path, if_there);
  if (number == 0) return flush_folder(folder_above(path));
  ::unlink(aside->c_str());
  return number == EEXIST ? there_already(path) : place_error(path, "cannot be made", number);
}

Result<void> write_folder(const std::string& folder, const std::vector<BundleFile>& files) {
  std::string path = folder;
  while (path.size() > 1 && path.back() == '/') path.pop_back();
  if (auto good = check_bundle(files); !good) return good.error();
  std::error_code code;
  if (fs::exists(fs::symlink_status(path, code))) return there_already(path);
  std::string aside;
  int number = EEXIST;
  for (int i = 0; i < most_names && number == EEXIST; ++i) {
    aside = name_beside(path, i);
    number = ::mkdir(aside.c_str(), 0777) == 0 ? 0 : errno;
  }
  if (number != 0) return place_error(path, "cannot be made", number);
  Result<void> done = fill_folder(aside, files, path);
  if (done) {
    number = name_folder(aside, path);
    if (number == 0) return flush_folder(folder_above(path));
    done = number == EEXIST || number == ENOTEMPTY ? there_already(path)
                                                   : place_error(path, "cannot be made", number);
  }
  fs::remove_all(aside, code);
  return done;
}

}  // namespace nestcup
