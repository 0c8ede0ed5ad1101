#include "tools/watch/terminal.hpp"

#include <signal.h>
#include <sys/ioctl.h>
#include <unistd.h>

#include <ostream>

namespace nestcup::watch {
namespace {

/// Alternate screen, no cursor, no new line behind the last column.
constexpr const char* begin_sequence = "\033[?1049h\033[?25l\033[?7l";
constexpr const char* end_sequence = "\033[?7h\033[?25h\033[?1049l";
constexpr const char* home = "\033[H";
constexpr const char* clear_line = "\033[K";
constexpr const char* clear_rest = "\033[J";

}  // namespace

Screen::Screen(int input, int output, std::ostream& out)
    : input_(input), output_(output), out_(out) {
  termios settings{};
  if (input_ >= 0 && tcgetattr(input_, &settings) == 0) before_ = settings;
  enter();
}

Screen::~Screen() {
  leave();
}

void Screen::enter() {
  if (before_) {
    termios settings = *before_;
    settings.c_lflag &= ~static_cast<tcflag_t>(ICANON | ECHO);
    settings.c_cc[VMIN] = 1;
    settings.c_cc[VTIME] = 0;
    tcsetattr(input_, TCSADRAIN, &settings);
  }
  out_ << begin_sequence << std::flush;
}

void Screen::leave() {
  out_ << end_sequence << std::flush;
  // Keys that nobody read are dropped: a shell must not take them for a command.
  if (before_) tcsetattr(input_, TCSAFLUSH, &*before_);
}

ScreenSize Screen::size() const {
  winsize size{};
  if (ioctl(output_, TIOCGWINSZ, &size) != 0 || size.ws_col == 0 || size.ws_row == 0) return {};
  return {size.ws_col, size.ws_row};
}

void Screen::show(const std::vector<std::string>& rows) {
  std::string frame = home;
  for (std::size_t i = 0; i < rows.size(); ++i) {
    frame += rows[i] + clear_line;
    if (i + 1 < rows.size()) frame += "\r\n";
  }
  out_ << frame << clear_rest << std::flush;
}

void Screen::pause() {
  leave();
  raise(SIGSTOP);
  enter();
}

}  // namespace nestcup::watch
