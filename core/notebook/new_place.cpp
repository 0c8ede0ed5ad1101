#include "core/notebook/new_place.hpp"

#include <fcntl.h>
#include <fmt/format.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cerrno>
#include <cstdio>
#include <filesystem>
#include <set>

#include "core/base/file_steps.hpp"
#include "core/notebook/place_steps.hpp"

namespace nestcup {
namespace {

namespace fs = std::filesystem;

/// Gives a file its name where nothing has it; 0 or the number of the error.
int name_file(const std::string& from, const std::string& to, IfThere if_there) {
  if (if_there == IfThere::replace) {
    return ::rename(from.c_str(), to.c_str()) == 0 ? 0 : errno;
  }
  return rename_unless_taken(from, to);
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

std::string usual_mark() {
  return std::to_string(::getpid());
}

Result<void> write_whole(const std::string& path, std::string_view bytes, IfThere if_there,
                         const std::string& mark) {
  std::error_code code;
  if (fs::is_directory(path, code)) return there_already(path + " (a folder)");
  if (if_there == IfThere::refuse && fs::exists(fs::symlink_status(path, code))) {
    return there_already(path);
  }
  const Result<std::string> aside = write_aside(path, bytes, mark);
  if (!aside) return aside.error();
  const int number = name_file(*aside, path, if_there);
  if (number == 0) return flush_folder(folder_above(path));
  ::unlink(aside->c_str());
  return number == EEXIST ? there_already(path) : place_error(path, "cannot be made", number);
}

Result<void> write_folder(const std::string& folder, const std::vector<BundleFile>& files,
                          const std::string& mark) {
  std::string path = folder;
  while (path.size() > 1 && path.back() == '/') path.pop_back();
  if (auto good = check_bundle(files); !good) return good.error();
  std::error_code code;
  if (fs::exists(fs::symlink_status(path, code))) return there_already(path);
  std::string aside;
  int number = EEXIST;
  for (int i = 0; i < most_names_aside && number == EEXIST; ++i) {
    aside = name_beside(path, mark, i);
    number = ::mkdir(aside.c_str(), 0777) == 0 ? 0 : errno;
  }
  if (number != 0) return place_error(path, "cannot be made", number);
  // One level deeper than it will lie, so that nobody who looks for its files finds half of them.
  const std::string whole = aside + "/whole";
  Result<void> done = ::mkdir(whole.c_str(), 0777) == 0
                          ? fill_folder(whole, files, path)
                          : Result<void>(place_error(path, "cannot be made", errno));
  if (done) {
    number = name_folder(whole, path);
    if (number == 0) {
      ::rmdir(aside.c_str());
      return flush_folder(folder_above(path));
    }
    done = number == EEXIST || number == ENOTEMPTY ? there_already(path)
                                                   : place_error(path, "cannot be made", number);
  }
  fs::remove_all(aside, code);
  return done;
}

}  // namespace nestcup
