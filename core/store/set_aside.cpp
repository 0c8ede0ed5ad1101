#include "core/store/set_aside.hpp"

#include <fcntl.h>
#include <fmt/format.h>
#include <unistd.h>

#include <algorithm>
#include <cerrno>
#include <cstring>
#include <filesystem>

#include "core/base/time_text.hpp"
#include "core/store/system_reason.hpp"

namespace nestcup {

namespace {

namespace fs = std::filesystem;

constexpr std::string_view log_end = "-wal";
constexpr std::string_view index_end = "-shm";

std::string begin_of(const std::string& store_path) {
  return store_path + ".damaged-";
}

/// Letters and digits alone: it becomes part of a file's name.
std::string stamp_of(TimeUs wall_us) {
  std::string stamp = rfc3339(wall_us).substr(0, 19);
  std::erase_if(stamp, [](char c) { return c == '-' || c == ':'; });
  return stamp + "Z";
}

std::string free_name(const std::string& store_path, TimeUs wall_us) {
  const std::string first = begin_of(store_path) + stamp_of(wall_us);
  std::string name = first;
  for (int count = 2; fs::exists(name) || fs::exists(name + std::string(log_end)); ++count) {
    name = fmt::format("{}-{}", first, count);
  }
  return name;
}

Result<void> renamed(const std::string& from, const std::string& to) {
  if (std::rename(from.c_str(), to.c_str()) == 0 || errno == ENOENT) return {};
  const int reason = errno;
  return Error{open_fault(reason, Fault::io),
               fmt::format("{}: is damaged and cannot be set aside as {}: {}; {}", from, to,
                           std::strerror(reason),
                           advice_for_number(reason, "check the rights on its folder"))};
}

/// New names in the folder survive a power cut.
void sync_folder_of(const std::string& path) {
  const std::string folder = fs::absolute(path).parent_path().string();
  const int descriptor = ::open(folder.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC);
  if (descriptor < 0) return;
  static_cast<void>(fsync(descriptor));
  ::close(descriptor);
}

}  // namespace

std::string replacement_path(const std::string& store_path) {
  return store_path + ".new";
}

void drop_replacement(const std::string& store_path) {
  std::error_code ignored;
  for (const std::string_view end : {std::string_view(), log_end, index_end}) {
    fs::remove(replacement_path(store_path) + std::string(end), ignored);
  }
}

void finish_replacing(const std::string& store_path) {
  std::error_code ignored;
  if (fs::exists(store_path, ignored)) return;
  static_cast<void>(std::rename(replacement_path(store_path).c_str(), store_path.c_str()));
}

Result<std::string> replace_store(const std::string& store_path, const std::string& replacement,
                                  TimeUs wall_us) {
  const std::string aside = free_name(store_path, wall_us);
  // The log goes first: beside a new file an old log would be taken for its own.
  const std::string log = store_path + std::string(log_end);
  const std::string aside_log = aside + std::string(log_end);
  if (auto moved = renamed(log, aside_log); !moved) return moved.error();
  if (auto moved = renamed(store_path, aside); !moved) {
    static_cast<void>(std::rename(aside_log.c_str(), log.c_str()));
    return moved.error();
  }
  // The index of the log is made anew from the log by whoever opens it.
  std::error_code ignored;
  fs::remove(store_path + std::string(index_end), ignored);
  if (auto moved = renamed(replacement, store_path); !moved) return moved.error();
  sync_folder_of(store_path);
  return aside;
}

std::vector<std::string> stores_set_aside(const std::string& store_path) {
  std::vector<std::string> found;
  const fs::path begin(begin_of(store_path));
  const fs::path folder = begin.has_parent_path() ? begin.parent_path() : fs::path(".");
  std::error_code fault;
  fs::directory_iterator entry(folder, fault);
  for (; !fault && entry != fs::directory_iterator(); entry.increment(fault)) {
    const std::string name = entry->path().filename().string();
    const bool beside = name.ends_with(log_end) || name.ends_with(index_end);
    if (name.starts_with(begin.filename().string()) && !beside) {
      found.push_back(entry->path().string());
    }
  }
  std::sort(found.begin(), found.end());
  return found;
}

}  // namespace nestcup
