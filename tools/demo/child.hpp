// Another program of the house, run beside the demo.
#pragma once

#include <sys/types.h>

#include <chrono>
#include <optional>
#include <string>
#include <vector>

#include "core/base/result.hpp"

namespace nestcup::demo {

/// A child process with its output in a log file; ended when this object goes away.
class Child {
 public:
  /// @param program  name of a program that lies beside this one, or on PATH
  /// @errors unavailable: it cannot be started; cannot_create: the log
  [[nodiscard]] static Result<Child> start(const std::string& program,
                                           const std::vector<std::string>& words,
                                           const std::string& log_path);
  Child(Child&& other) noexcept;
  Child& operator=(Child&&) = delete;
  ~Child();

  /// The exit code once it has ended; nothing while it runs.
  [[nodiscard]] std::optional<int> ended();
  /// Sends SIGTERM and waits; SIGKILL after `patience`.
  /// @return the exit code
  int stop(std::chrono::milliseconds patience);

 private:
  explicit Child(pid_t pid) : pid_(pid) {}
  pid_t pid_ = -1;
  std::optional<int> code_;
};

/// Full path of a program beside the running one; its bare name where there is none.
[[nodiscard]] std::string program_beside(const std::string& name);

}  // namespace nestcup::demo
