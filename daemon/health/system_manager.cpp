#include "daemon/health/system_manager.hpp"

#include <fmt/format.h>
#include <pthread.h>
#include <sys/socket.h>
#include <sys/time.h>
#include <sys/un.h>
#include <time.h>
#include <unistd.h>

#include <cerrno>
#include <charconv>
#include <cstddef>
#include <cstdint>
#include <cstdlib>
#include <cstring>

namespace nestcup::daemon {
namespace {

constexpr suseconds_t patience_us = 100'000;
constexpr auto look_every = std::chrono::seconds(2);
constexpr auto more_time = std::chrono::microseconds(std::chrono::seconds(30));

std::optional<std::int64_t> whole_number(const char* text) {
  if (text == nullptr) return std::nullopt;
  std::int64_t value = 0;
  const char* const end = text + std::strlen(text);
  const auto [stop, fault] = std::from_chars(text, end, value);
  if (fault != std::errc{} || stop != end) return std::nullopt;
  return value;
}

/// What sd_notify(3) allows: an absolute path, or @ and an abstract name; empty for all else.
std::string socket_address(const char* written) {
  std::string address = written == nullptr ? "" : written;
  if (address.size() < 2 || address.size() >= sizeof(sockaddr_un::sun_path)) return {};
  if (address.front() != '/' && address.front() != '@') return {};
  if (address.front() == '@') address.front() = '\0';
  return address;
}

int open_socket() {
  const int descriptor = ::socket(AF_UNIX, SOCK_DGRAM | SOCK_CLOEXEC, 0);
  const timeval patience{0, patience_us};
  if (descriptor >= 0) {
    setsockopt(descriptor, SOL_SOCKET, SO_SNDTIMEO, &patience, sizeof(patience));
  }
  return descriptor;
}

std::int64_t used_ns(clockid_t clock) {
  timespec used{};
  clock_gettime(clock, &used);
  return static_cast<std::int64_t>(used.tv_sec) * 1'000'000'000 + used.tv_nsec;
}

}  // namespace

SystemManager::SystemManager(const Variables& variables)
    : address_(socket_address(variables.notify_socket)) {
  if (!address_.empty()) descriptor_ = open_socket();
  const auto us = whole_number(variables.watchdog_usec);
  const bool for_us =
      variables.watchdog_pid == nullptr || whole_number(variables.watchdog_pid) == getpid();
  if (is_there() && us && *us > 0 && for_us) watchdog_ = std::chrono::microseconds(*us);
}

SystemManager::SystemManager()
    : SystemManager(Variables{std::getenv("NOTIFY_SOCKET"), std::getenv("WATCHDOG_USEC"),
                              std::getenv("WATCHDOG_PID")}) {}

SystemManager::~SystemManager() {
  if (descriptor_ >= 0) close(descriptor_);
}

Result<void> SystemManager::tell(const std::string& lines) const {
  if (!is_there()) return {};
  sockaddr_un address{};
  address.sun_family = AF_UNIX;
  std::memcpy(address.sun_path, address_.data(), address_.size());
  // An abstract name ends where the address does; a path may, too (unix(7)).
  const auto length = static_cast<socklen_t>(offsetof(sockaddr_un, sun_path) + address_.size());
  const auto sent = sendto(descriptor_, lines.data(), lines.size(), MSG_NOSIGNAL,
                           reinterpret_cast<const sockaddr*>(&address), length);
  if (sent == static_cast<ssize_t>(lines.size())) return {};
  return Error{Fault::io,
               fmt::format("the service manager cannot be told: {}", std::strerror(errno))};
}

std::string status_line(std::string_view text) {
  std::string line = "STATUS=";
  for (const char c : text) line += c == '\n' || c == '\r' ? ' ' : c;
  return line;
}

StartPatience::StartPatience(const SystemManager& manager) : manager_(manager) {
  clockid_t worker{};
  if (!manager_.is_there() || pthread_getcpuclockid(pthread_self(), &worker) != 0) return;
  thread_ = std::thread([this, worker] { run(worker); });
}

StartPatience::~StartPatience() {
  {
    const std::lock_guard lock(mutex_);
    done_ = true;
    wake_.notify_one();
  }
  if (thread_.joinable()) thread_.join();
}

void StartPatience::run(clockid_t worker) {
  std::int64_t before_ns = used_ns(worker);
  std::unique_lock lock(mutex_);
  while (!wake_.wait_for(lock, look_every, [this] { return done_; })) {
    const std::int64_t now_ns = used_ns(worker);
    if (now_ns == before_ns) continue;
    before_ns = now_ns;
    // What does not arrive is sent again; the manager's patience ends by itself otherwise.
    (void)manager_.tell(fmt::format("EXTEND_TIMEOUT_USEC={}", more_time.count()));
  }
}

}  // namespace nestcup::daemon
