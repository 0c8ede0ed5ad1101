// Processes that the tests start and kill.
#pragma once

#include <sys/wait.h>
#include <unistd.h>

#include <csignal>
#include <exception>
#include <functional>
#include <stdexcept>

namespace nestcup::testing {

/// A child process that runs `work` and ends with what it returns; 120 where it threw.
class Child {
 public:
  explicit Child(const std::function<int()>& work) : process_(fork()) {
    if (process_ < 0) throw std::runtime_error("no child process");
    if (process_ != 0) return;
    int code = 120;
    try {
      code = work();
    } catch (const std::exception& fault) {
      static_cast<void>(
          !write(STDERR_FILENO, fault.what(), std::char_traits<char>::length(fault.what())));
    }
    _exit(code);
  }
  ~Child() {
    if (process_ > 0) kill_now();
  }
  Child(const Child&) = delete;
  Child& operator=(const Child&) = delete;

  /// Waits for its end. @return its exit code; -1 where a signal ended it
  int exit_code() {
    int status = 0;
    waitpid(process_, &status, 0);
    process_ = -1;
    return WIFEXITED(status) ? WEXITSTATUS(status) : -1;
  }
  void kill_now() {
    ::kill(process_, SIGKILL);
    exit_code();
  }

 private:
  pid_t process_;
};

}  // namespace nestcup::testing
