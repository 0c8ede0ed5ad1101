#include "core/store/system_reason.hpp"

#include <fcntl.h>
#include <unistd.h>

#include <cerrno>
#include <filesystem>

namespace nestcup {

Fault open_fault(int number, Fault otherwise) {
  switch (number) {
    case EACCES:
    case EPERM:
    case EROFS:
      return Fault::not_permitted;
    case ENOSPC:
    case EDQUOT:
    case EFBIG:
    case EIO:
      return Fault::io;
    default:
      return otherwise;
  }
}

std::string_view advice_for_number(int number, std::string_view otherwise) {
  switch (number) {
    case EACCES:
    case EPERM:
    case EROFS:
      return "check the rights on the file and its folder";
    case ENOSPC:
    case EDQUOT:
      return "make room on the disk";
    case EIO:
      return "check the disk and the system's log";
    default:
      return otherwise;
  }
}

bool rights_permit_writing(const std::string& path) {
  const auto permits = [](const std::string& file, int rights) {
    return faccessat(AT_FDCWD, file.c_str(), rights, AT_EACCESS) == 0 || errno == ENOENT;
  };
  return permits(path, W_OK) && permits(path + "-wal", W_OK) && permits(path + "-shm", W_OK) &&
         permits(std::filesystem::absolute(path).parent_path().string(), W_OK | X_OK);
}

}  // namespace nestcup
