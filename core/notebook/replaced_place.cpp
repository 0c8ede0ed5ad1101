// Files that change, beside people who write into them.
#include <fcntl.h>
#include <fmt/format.h>
#include <unistd.h>

#include <cerrno>
#include <cstdio>
#include <filesystem>

#include "core/notebook/new_place.hpp"
#include "core/notebook/place_steps.hpp"

namespace nestcup {
namespace {

namespace fs = std::filesystem;

bool change_places(const std::string& a, const std::string& b) {
  return ::renameat2(AT_FDCWD, a.c_str(), AT_FDCWD, b.c_str(), RENAME_EXCHANGE) == 0;
}

/// The name of the file that a left-over was to become; empty where it is none with this mark.
std::string wanted_name(const std::string& left_over, const std::string& mark) {
  const std::size_t end = left_over.rfind(fmt::format(".{}-", mark));
  if (!left_over.starts_with('.') || !left_over.ends_with(".new")) return {};
  if (end == std::string::npos || end < 2) return {};
  return left_over.substr(1, end - 1);
}

/// Gives others' bytes a name that shows them.
Result<void> keep_shown(const fs::path& left_over, const std::string& wanted) {
  const fs::path name(wanted);
  for (int i = 0; i < most_names_aside; ++i) {
    const fs::path shown =
        left_over.parent_path() /
        fmt::format("{}.kept-{}{}", name.stem().string(), i, name.extension().string());
    if (::renameat2(AT_FDCWD, left_over.c_str(), AT_FDCWD, shown.c_str(), RENAME_NOREPLACE) == 0) {
      return {};
    }
    if (errno != EEXIST) return place_error(left_over.string(), "cannot be renamed", errno);
  }
  return place_error(left_over.string(), "cannot be renamed", EEXIST);
}

}  // namespace

Result<bool> replace_known(const std::string& path, std::string_view bytes,
                           const std::function<bool(const std::string&)>& known,
                           const std::string& mark) {
  const auto aside = write_aside(path, bytes, mark);
  if (!aside) return aside.error();
  bool replaced = change_places(*aside, path);
  const int number = replaced ? 0 : errno;
  if (replaced && !known(bytes_at(*aside).value_or(""))) {
    if (!change_places(*aside, path)) {
      return place_error(path, "what was written there lies in " + *aside, errno);
    }
    replaced = false;
  }
  const int left = ::unlink(aside->c_str()) == 0 ? 0 : errno;
  if (number != 0 && number != EINVAL && number != ENOSYS) {
    return place_error(path, "cannot be replaced", number);
  }
  if (left != 0) return place_error(*aside, "cannot be removed", left);
  if (auto flushed = flush_folder(folder_above(path)); !flushed) return flushed.error();
  return replaced;
}

Result<void> remove_left_overs(const std::string& folder, const std::string& mark,
                               const std::function<bool(const std::string&)>& known) {
  std::error_code code;
  std::vector<fs::path> found;
  for (fs::directory_iterator entry(folder, code), end; !code && entry != end;
       entry.increment(code)) {
    // What is under way has a hidden name; all else is passed over quickly, as there may be much.
    const std::string& path = entry->path().native();
    if (path[path.rfind('/') + 1] != '.') continue;
    if (!wanted_name(entry->path().filename().string(), mark).empty()) {
      found.push_back(entry->path());
    }
  }
  if (code) return place_error(folder, "cannot be listed", code.value());
  for (const fs::path& left_over : found) {
    const bool is_file = fs::is_regular_file(fs::symlink_status(left_over, code));
    if (is_file && !known(bytes_at(left_over.string()).value_or(""))) {
      const std::string wanted = wanted_name(left_over.filename().string(), mark);
      if (auto kept = keep_shown(left_over, wanted); !kept) return kept;
      continue;
    }
    fs::remove_all(left_over, code);
    if (code) return place_error(left_over.string(), "cannot be removed", code.value());
  }
  return {};
}

}  // namespace nestcup
