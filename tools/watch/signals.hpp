// Signals as something to wait for beside a key.
#pragma once

#include <signal.h>

#include <chrono>
#include <optional>

namespace nestcup::watch {

/// What a wait ended with.
struct Happened {
  std::optional<int> signal;
  std::optional<char> key;
  bool input_ended = false;
};

/// Holds back SIGINT, SIGTERM, SIGHUP, SIGTSTP and SIGWINCH as long as it lives, on this thread and
/// on those that it starts meanwhile.
class Signals {
 public:
  Signals();
  Signals(const Signals&) = delete;
  Signals& operator=(const Signals&) = delete;
  ~Signals();

  /// Waits for a signal, a byte on `input` (-1 for none) or the end of the time.
  [[nodiscard]] Happened wait(int input, std::chrono::milliseconds longest) const;

 private:
  sigset_t before_{};
  int descriptor_ = -1;
};

/// Whether this is one that asks a program to end.
[[nodiscard]] bool asks_to_end(int signal);

}  // namespace nestcup::watch
