// A terminal that shows one screen after the other, and is as it was before in the end.
#pragma once

#include <termios.h>

#include <iosfwd>
#include <optional>
#include <string>
#include <vector>

#include "tools/watch/screen.hpp"

namespace nestcup::watch {

/// From its making to its end the terminal has its alternate screen, no cursor, and hands over keys
/// as they are pressed, without showing them. Sequences are those of ECMA-48 and of xterm, which
/// all of today's terminals know.
class Screen {
 public:
  /// @param input   a terminal's descriptor, or -1: no keys then
  /// @param output  the descriptor behind `out`
  Screen(int input, int output, std::ostream& out);
  Screen(const Screen&) = delete;
  Screen& operator=(const Screen&) = delete;
  ~Screen();

  [[nodiscard]] ScreenSize size() const;
  void show(const std::vector<std::string>& rows);
  /// Gives the terminal back and stops this process; goes on when it is told to (Ctrl-Z, fg).
  void pause();

 private:
  void enter();
  void leave();

  int input_;
  int output_;
  std::ostream& out_;
  std::optional<termios> before_;  ///< settings of the input
};

}  // namespace nestcup::watch
