// The service manager that started the daemon, where one did: what it is told, and how.
#pragma once

#include <chrono>
#include <condition_variable>
#include <mutex>
#include <optional>
#include <string>
#include <string_view>
#include <thread>

#include "core/base/result.hpp"

namespace nestcup::daemon {

/// Sends datagrams of lines NAME=VALUE to the socket of the manager, as sd_notify(3) describes the
/// protocol. Where there is none, nothing is sent. Any thread.
class SystemManager {
 public:
  /// The variables that systemd sets, as they are; nullptr for one that is not set.
  struct Variables {
    const char* notify_socket = nullptr;  ///< NOTIFY_SOCKET: a path, or @ and an abstract name
    const char* watchdog_usec = nullptr;  ///< WATCHDOG_USEC
    const char* watchdog_pid = nullptr;   ///< WATCHDOG_PID: for whom that is meant
  };

  explicit SystemManager(const Variables& variables);
  /// With the variables of this process.
  SystemManager();
  SystemManager(const SystemManager&) = delete;
  SystemManager& operator=(const SystemManager&) = delete;
  ~SystemManager();

  [[nodiscard]] bool is_there() const { return descriptor_ >= 0; }
  /// Within which time each sign of life must follow the one before; nothing where none is wanted.
  [[nodiscard]] std::optional<std::chrono::microseconds> watchdog() const { return watchdog_; }

  /// Sends lines, each NAME=VALUE. Waits a moment at the most where the manager does not listen.
  /// @errors io: not taken
  [[nodiscard]] Result<void> tell(const std::string& lines) const;

 private:
  std::string address_;  ///< as in sockaddr_un: an abstract name begins with a zero byte
  int descriptor_ = -1;
  std::optional<std::chrono::microseconds> watchdog_;
};

/// `text` as one line of STATUS=.
[[nodiscard]] std::string status_line(std::string_view text);

/// While it lives, the manager is asked for more time to start (EXTEND_TIMEOUT_USEC), for as long
/// as the thread that made it goes on: one that hangs uses no processor time, and gets no more.
class StartPatience {
 public:
  explicit StartPatience(const SystemManager& manager);
  StartPatience(const StartPatience&) = delete;
  StartPatience& operator=(const StartPatience&) = delete;
  ~StartPatience();

 private:
  void run(clockid_t worker);

  const SystemManager& manager_;
  std::mutex mutex_;
  std::condition_variable wake_;
  bool done_ = false;  ///< behind the mutex
  std::thread thread_;
};

}  // namespace nestcup::daemon
