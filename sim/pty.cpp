#include "sim/pty.hpp"

#include <fcntl.h>
#include <fmt/format.h>
#include <poll.h>
#include <termios.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <cerrno>
#include <cstdlib>
#include <ctime>
#include <filesystem>
#include <system_error>
#include <utility>

namespace nestcup::sim {

namespace {

/// How often a closed port is looked at: nothing tells when it is opened.
constexpr std::chrono::milliseconds look_every{2};

Error no_terminal(const char* step) {
  const std::string why = std::error_code(errno, std::generic_category()).message();
  return {Fault::cannot_create, fmt::format("no pseudo-terminal ({}: {})", step, why)};
}

/// Raw mode is kept with the terminal, so that bytes pass unchanged and are not echoed from the
/// first open on. Opening and closing the other end once also starts the hang-up signal.
bool make_raw(const char* path) {
  const int other = ::open(path, O_RDWR | O_NOCTTY | O_CLOEXEC);
  if (other < 0) return false;
  termios settings{};
  bool done = ::tcgetattr(other, &settings) == 0;
  ::cfmakeraw(&settings);
  done = done && ::tcsetattr(other, TCSANOW, &settings) == 0;
  ::close(other);
  return done;
}

}  // namespace

Pty::Pty(int descriptor, std::string other_end)
    : descriptor_(descriptor), other_end_(std::move(other_end)) {}

Result<Pty> Pty::open() {
  const int descriptor = ::posix_openpt(O_RDWR | O_NOCTTY | O_CLOEXEC | O_NONBLOCK);
  if (descriptor < 0) return no_terminal("open");
  Pty pty(descriptor, "");
  std::array<char, 128> path{};
  if (::grantpt(descriptor) != 0 || ::unlockpt(descriptor) != 0 ||
      ::ptsname_r(descriptor, path.data(), path.size()) != 0) {
    return no_terminal("unlock");
  }
  if (!make_raw(path.data())) return no_terminal("raw mode");
  pty.other_end_ = path.data();
  return pty;
}

Pty::Pty(Pty&& other) noexcept
    : descriptor_(std::exchange(other.descriptor_, -1)), other_end_(std::move(other.other_end_)) {}

Pty& Pty::operator=(Pty&& other) noexcept {
  std::swap(descriptor_, other.descriptor_);
  std::swap(other_end_, other.other_end_);
  return *this;
}

Pty::~Pty() {
  if (descriptor_ >= 0) ::close(descriptor_);
}

bool Pty::in_use() const {
  pollfd watched{descriptor_, 0, 0};
  return ::poll(&watched, 1, 0) >= 0 && (watched.revents & POLLHUP) == 0;
}

std::string Pty::read() const {
  std::array<char, 256> buffer{};
  // Nobody at the other end is EIO here, and no more of an error than having nothing to read.
  const ssize_t count = ::read(descriptor_, buffer.data(), buffer.size());
  return count > 0 ? std::string(buffer.data(), static_cast<std::size_t>(count)) : std::string();
}

void Pty::write(std::string_view bytes) const {
  while (!bytes.empty()) {
    const ssize_t count = ::write(descriptor_, bytes.data(), bytes.size());
    if (count < 0 && errno == EINTR) continue;
    if (count <= 0) return;
    bytes.remove_prefix(static_cast<std::size_t>(count));
  }
}

void Pty::discard_unread() const {
  // Only the end that would read it can throw it away.
  const int other = ::open(other_end_.c_str(), O_RDWR | O_NOCTTY | O_CLOEXEC);
  if (other < 0) return;
  ::tcflush(other, TCIFLUSH);
  ::close(other);
}

bool wait_for_port(int stop_fd, const Pty* pty, bool open, std::chrono::nanoseconds span) {
  span = std::min(span, longest_port_wait);
  if (pty != nullptr && !open) span = std::min<std::chrono::nanoseconds>(span, look_every);
  span = std::max(span, std::chrono::nanoseconds{0});
  const timespec timeout{static_cast<time_t>(span.count() / 1'000'000'000),
                         static_cast<long>(span.count() % 1'000'000'000)};
  // A closed port hangs up all the time and would turn the wait into a spin.
  const int port = pty != nullptr && open ? pty->descriptor() : -1;
  std::array<pollfd, 2> watched{pollfd{stop_fd, POLLIN, 0}, pollfd{port, POLLIN, 0}};
  ::ppoll(watched.data(), watched.size(), &timeout, nullptr);
  return watched[0].revents == 0;
}

DeviceLink::DeviceLink(std::string target, std::string path)
    : target_(std::move(target)), path_(std::move(path)) {}

Result<DeviceLink> DeviceLink::make(const std::string& target, const std::string& path) {
  std::error_code fault;
  const auto status = std::filesystem::symlink_status(path, fault);
  if (std::filesystem::exists(status) && !std::filesystem::is_symlink(status)) {
    return Error{Fault::cannot_create, path + ": is there and is no link; choose another --link"};
  }
  const std::string beside = fmt::format("{}.{}.part", path, ::getpid());
  std::filesystem::create_symlink(target, beside, fault);
  if (!fault) std::filesystem::rename(beside, path, fault);
  if (fault) {
    return Error{
        Fault::cannot_create,
        fmt::format("{}: cannot be linked ({}); does its folder exist?", path, fault.message())};
  }
  return DeviceLink(target, path);
}

DeviceLink::DeviceLink(DeviceLink&& other) noexcept
    : target_(std::move(other.target_)), path_(std::exchange(other.path_, {})) {}

DeviceLink& DeviceLink::operator=(DeviceLink&& other) noexcept {
  std::swap(target_, other.target_);
  std::swap(path_, other.path_);
  return *this;
}

DeviceLink::~DeviceLink() {
  if (path_.empty()) return;
  std::error_code fault;
  if (std::filesystem::read_symlink(path_, fault) == target_) {
    std::filesystem::remove(path_, fault);
  }
}

}  // namespace nestcup::sim
