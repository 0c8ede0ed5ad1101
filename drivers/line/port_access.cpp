#include "drivers/line/port_access.hpp"

#include <fcntl.h>
#include <fmt/format.h>
#include <grp.h>
#include <pwd.h>
#include <sys/stat.h>
#include <sys/sysmacros.h>
#include <unistd.h>

#include <charconv>
#include <filesystem>
#include <fstream>
#include <optional>
#include <sstream>
#include <vector>

namespace nestcup::drivers {
namespace {

namespace fs = std::filesystem;

std::string group_name(gid_t id) {
  std::vector<char> buffer(4096);
  group entry{};
  group* found = nullptr;
  if (getgrgid_r(id, &entry, buffer.data(), buffer.size(), &found) == 0 && found != nullptr) {
    return found->gr_name;
  }
  return std::to_string(id);
}

std::string user_name(uid_t id) {
  std::vector<char> buffer(4096);
  passwd entry{};
  passwd* found = nullptr;
  if (getpwuid_r(id, &entry, buffer.data(), buffer.size(), &found) == 0 && found != nullptr) {
    return found->pw_name;
  }
  return std::to_string(id);
}

std::optional<int> number_of(const std::string& text) {
  int value = 0;
  const auto [stop, fault] = std::from_chars(text.data(), text.data() + text.size(), value);
  if (fault != std::errc{} || stop != text.data() + text.size()) return std::nullopt;
  return value;
}

std::string describe(int process) {
  std::ifstream file(fmt::format("/proc/{}/comm", process));
  std::string name;
  std::getline(file, name);
  return name.empty() ? fmt::format("process {}", process)
                      : fmt::format("{} (process {})", name, process);
}

// A line of /proc/locks: "1: FLOCK  ADVISORY  WRITE 812 00:18:5 0 EOF" (proc_locks(5)).
std::optional<int> process_with_lock(const struct stat& port) {
  const std::string wanted =
      fmt::format("{:02x}:{:02x}:{}", major(port.st_dev), minor(port.st_dev), port.st_ino);
  std::ifstream file("/proc/locks");
  for (std::string line; std::getline(file, line);) {
    std::istringstream words(line);
    std::string index, kind, mode, access, process, inode;
    words >> index >> kind >> mode >> access >> process >> inode;
    if (kind == "FLOCK" && inode == wanted) return number_of(process);
  }
  return std::nullopt;
}

bool has_open(const fs::path& process, const struct stat& port) {
  std::error_code fault;
  for (fs::directory_iterator entry(process / "fd", fault), end; !fault && entry != end;
       entry.increment(fault)) {
    struct stat file {};
    if (stat(entry->path().c_str(), &file) == 0 && S_ISCHR(file.st_mode) &&
        file.st_rdev == port.st_rdev && file.st_dev == port.st_dev) {
      return true;
    }
  }
  return false;
}

std::optional<int> process_with_file(const struct stat& port) {
  std::error_code fault;
  for (fs::directory_iterator entry("/proc", fault), end; !fault && entry != end;
       entry.increment(fault)) {
    const auto process = number_of(entry->path().filename().string());
    if (process && *process != getpid() && has_open(entry->path(), port)) return process;
  }
  return std::nullopt;
}

}  // namespace

std::string holder_of(const std::string& path) {
  struct stat port {};
  if (stat(path.c_str(), &port) != 0) return {};
  if (const auto process = process_with_lock(port)) return describe(*process);
  if (const auto process = process_with_file(port)) return describe(*process);
  return {};
}

std::string permission_advice(const std::string& path) {
  struct stat port {};
  if (stat(path.c_str(), &port) != 0) return "its rights cannot be read";
  const std::string group = group_name(port.st_gid);
  const bool group_may = (port.st_mode & S_IRGRP) != 0 && (port.st_mode & S_IWGRP) != 0;
  const std::string owned = fmt::format("{} belongs to user {} and group {} (mode {:04o})", path,
                                        user_name(port.st_uid), group, port.st_mode & 07777);
  if (!group_may || port.st_gid == 0) {
    return owned + "; give a group that you are in the right to read and write it";
  }
  return fmt::format("{}, and {} is not in that group: run `sudo adduser {} {}`, then log in anew",
                     owned, user_name(geteuid()), user_name(geteuid()), group);
}

PortAccessReport look_at_port(const std::string& path) {
  struct stat port {};
  if (stat(path.c_str(), &port) != 0) {
    return {PortAccess::missing, fmt::format("there is no {}", path)};
  }
  if (faccessat(AT_FDCWD, path.c_str(), R_OK | W_OK, AT_EACCESS) != 0) {
    return {PortAccess::not_permitted, permission_advice(path)};
  }
  if (const std::string holder = holder_of(path); !holder.empty()) {
    return {PortAccess::taken, fmt::format("{} has it open; end that first", holder)};
  }
  return {PortAccess::free, {}};
}

}  // namespace nestcup::drivers
