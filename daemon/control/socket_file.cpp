#include "daemon/control/socket_file.hpp"

#include <fcntl.h>
#include <fmt/format.h>
#include <poll.h>
#include <sys/file.h>
#include <sys/socket.h>
#include <sys/stat.h>
#include <sys/un.h>
#include <unistd.h>

#include <cerrno>
#include <cstring>
#include <filesystem>
#include <utility>

namespace nestcup::daemon {
namespace {

constexpr int backlog = 64;
constexpr mode_t socket_mode = 0660;

/// A descriptor that is closed when it goes out of scope.
class Descriptor {
 public:
  explicit Descriptor(int number) : number_(number) {}
  Descriptor(const Descriptor&) = delete;
  Descriptor& operator=(const Descriptor&) = delete;
  ~Descriptor() {
    if (number_ >= 0) close(number_);
  }
  [[nodiscard]] int get() const { return number_; }
  [[nodiscard]] int release() { return std::exchange(number_, -1); }

 private:
  int number_;
};

Error failed(const std::string& path, std::string_view doing, int code) {
  const bool refused = code == EACCES || code == EPERM;
  return {refused ? Fault::not_permitted : Fault::cannot_create,
          fmt::format("control socket {}: {}: {}", path, doing, std::strerror(code))};
}

sockaddr_un address_of(const std::string& path) {
  sockaddr_un address{};
  address.sun_family = AF_UNIX;
  std::memcpy(address.sun_path, path.data(), path.size());
  return address;
}

int connect_or_bind(int (*call)(int, const sockaddr*, socklen_t), int socket,
                    const std::string& path) {
  const sockaddr_un address = address_of(path);
  return call(socket, reinterpret_cast<const sockaddr*>(&address), sizeof(address));
}

Result<void> check_path(const std::string& path) {
  const std::size_t longest = sizeof(sockaddr_un::sun_path) - 1;
  if (path.empty() || path.find('\0') != std::string::npos) {
    return Error{Fault::bad_configuration, "control socket: the path is empty or has a zero byte"};
  }
  if (path.size() > longest) {
    return Error{Fault::bad_configuration,
                 fmt::format("control socket {}: the path has {} bytes, the system allows {}; "
                             "choose a shorter one",
                             path, path.size(), longest)};
  }
  return {};
}

/// Between looking and making, nobody else who follows this rule may do the same in this folder.
/// The lock goes with the descriptor and leaves no file behind.
Result<int> lock_folder(const std::string& path) {
  auto folder = std::filesystem::path(path).parent_path();
  if (folder.empty()) folder = ".";
  Descriptor lock(::open(folder.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC));
  if (lock.get() < 0) return failed(path, "its folder cannot be opened", errno);
  for (int attempt = 0; attempt < 20; ++attempt) {
    if (flock(lock.get(), LOCK_EX | LOCK_NB) == 0) return lock.release();
    if (errno != EWOULDBLOCK && errno != EINTR) break;
    poll(nullptr, 0, 50);
  }
  return Error{Fault::try_later,
               fmt::format("control socket {}: its folder is locked by another program", path)};
}

/// Removes the socket of a daemon that is no more; leaves everything else and says so.
Result<void> clear_stale(const std::string& path) {
  struct stat found {};
  if (lstat(path.c_str(), &found) != 0) {
    if (errno == ENOENT) return {};
    return failed(path, "cannot be looked at", errno);
  }
  if (!S_ISSOCK(found.st_mode)) {
    return Error{Fault::cannot_create,
                 fmt::format("control socket {}: something that is not a socket has this name and "
                             "stays untouched; move it away or choose another name",
                             path)};
  }
  const Descriptor probe(::socket(AF_UNIX, SOCK_STREAM | SOCK_CLOEXEC | SOCK_NONBLOCK, 0));
  if (probe.get() < 0) return failed(path, "no socket to be had", errno);
  if (connect_or_bind(::connect, probe.get(), path) == 0 || errno == EAGAIN) {
    return Error{
        Fault::try_later,
        fmt::format("control socket {}: another daemon answers there; stop it first", path)};
  }
  if (errno != ECONNREFUSED) return failed(path, "whoever owns it cannot be asked", errno);
  if (unlink(path.c_str()) != 0 && errno != ENOENT) {
    return failed(path, "the socket of a dead daemon cannot be removed", errno);
  }
  return {};
}

}  // namespace

Result<SocketFile> SocketFile::open(const std::string& path) {
  if (auto checked = check_path(path); !checked) return checked.error();
  auto locked = lock_folder(path);
  if (!locked) return locked.error();
  const Descriptor lock(*locked);
  if (auto cleared = clear_stale(path); !cleared) return cleared.error();

  SocketFile made;
  made.descriptor_ = ::socket(AF_UNIX, SOCK_STREAM | SOCK_CLOEXEC | SOCK_NONBLOCK, 0);
  if (made.descriptor_ < 0) return failed(path, "no socket to be had", errno);
  // bind() takes the descriptor's mode and the umask, so the file is never wider than this. What
  // the umask takes away is put back after listen(): changing a file may have to wait for the disk,
  // and whoever sees the file meanwhile must be able to connect.
  if (fchmod(made.descriptor_, socket_mode) != 0) return failed(path, "no mode", errno);
  if (connect_or_bind(::bind, made.descriptor_, path) != 0) return failed(path, "bind", errno);
  const int listening = listen(made.descriptor_, backlog) == 0 ? 0 : errno;
  struct stat own {};
  if (lstat(path.c_str(), &own) != 0) return failed(path, "cannot be looked at", errno);
  made.path_ = path;
  made.device_ = own.st_dev;
  made.inode_ = own.st_ino;
  made.group_ = own.st_gid;
  if (listening != 0) return failed(path, "listen", listening);
  if (chmod(path.c_str(), socket_mode) != 0) return failed(path, "its mode cannot be set", errno);
  return made;
}

SocketFile::SocketFile(SocketFile&& other) noexcept
    : path_(std::exchange(other.path_, {})),
      descriptor_(std::exchange(other.descriptor_, -1)),
      device_(other.device_),
      inode_(other.inode_),
      group_(other.group_) {}

SocketFile::~SocketFile() {
  remove();
  if (descriptor_ >= 0) close(descriptor_);
}

int SocketFile::release_descriptor() {
  return std::exchange(descriptor_, -1);
}

void SocketFile::remove() {
  struct stat found {};
  const bool still_ours = !path_.empty() && lstat(path_.c_str(), &found) == 0 &&
                          found.st_dev == device_ && found.st_ino == inode_;
  if (still_ours) unlink(path_.c_str());
  path_.clear();
}

}  // namespace nestcup::daemon
