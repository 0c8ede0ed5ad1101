#include "core/store/filesystem.hpp"

#include <fmt/format.h>
#include <linux/magic.h>
#include <sys/stat.h>
#include <sys/statvfs.h>
#include <sys/sysmacros.h>
#include <sys/vfs.h>

#include <array>
#include <fstream>
#include <iterator>
#include <sstream>

namespace nestcup {

namespace {

struct Numbered {
  unsigned long type;
  std::string_view name;
};

// Numbers from linux/magic.h and statfs(2); those without a name are not in every header.
constexpr std::array<Numbered, 12> network_types{{
    {NFS_SUPER_MAGIC, "NFS"},
    {SMB_SUPER_MAGIC, "SMB"},
    {0xFE534D42, "SMB"},
    {0xFF534D42, "CIFS"},
    {AFS_SUPER_MAGIC, "AFS"},
    {CODA_SUPER_MAGIC, "Coda"},
    {V9FS_MAGIC, "9P"},
    {0x00C36400, "Ceph"},
    {0x564C, "NCP"},
    {0x01161970, "GFS2"},
    {0x7461636F, "OCFS2"},
    {0x0BD00BD0, "Lustre"},
}};

constexpr unsigned long fuse_type = 0x65735546;

/// File systems in user space that are local; every other "fuse.NAME" reaches over a network or
/// promises nothing about locks.
constexpr std::array<std::string_view, 3> local_fuse{"fuse.fuse-overlayfs", "fuse.ntfs-3g",
                                                     "fuse.exfat"};

}  // namespace

std::optional<std::string> network_name(long filesystem_type) {
  // f_type is signed and 32 bits wide on some machines: compare 32 bits.
  const unsigned long type = static_cast<unsigned long>(filesystem_type) & 0xFFFFFFFFUL;
  for (const Numbered& known : network_types) {
    if (known.type == type) return std::string(known.name);
  }
  return std::nullopt;
}

std::optional<std::string> fuse_network_name(std::string_view mountinfo, std::string_view device) {
  std::istringstream lines{std::string(mountinfo)};
  for (std::string line; std::getline(lines, line);) {
    std::istringstream fields(line);
    std::string id, parent, numbers, word;
    fields >> id >> parent >> numbers;
    if (numbers != device) continue;
    while (fields >> word && word != "-") {
    }
    std::string type;
    fields >> type;
    if (!type.starts_with("fuse.")) return std::nullopt;
    for (const std::string_view local : local_fuse) {
      if (type == local) return std::nullopt;
    }
    return type.substr(std::string_view("fuse.").size());
  }
  return std::nullopt;
}

std::optional<std::string> network_filesystem(const std::string& folder) {
  struct statfs about {};
  if (statfs(folder.c_str(), &about) != 0) return std::nullopt;
  if ((static_cast<unsigned long>(about.f_type) & 0xFFFFFFFFUL) != fuse_type) {
    return network_name(static_cast<long>(about.f_type));
  }
  struct stat file {};
  if (stat(folder.c_str(), &file) != 0) return std::nullopt;
  std::ifstream mounts("/proc/self/mountinfo");
  const std::string text{std::istreambuf_iterator<char>(mounts), std::istreambuf_iterator<char>()};
  return fuse_network_name(text, fmt::format("{}:{}", major(file.st_dev), minor(file.st_dev)));
}

bool has_room_for_index(const std::string& folder) {
  constexpr unsigned long page = 4096;
  constexpr unsigned long least_room = 64 * page;
  struct statvfs facts {};
  if (statvfs(folder.c_str(), &facts) != 0 || facts.f_frsize >= page) return true;
  return facts.f_bavail * facts.f_frsize >= least_room;
}

}  // namespace nestcup
