#include "drivers/line/raw_mode.hpp"

// The kernel's own header: the C library's <termios.h> knows no free choice of the rate.
#include <asm/termbits.h>
#include <fmt/format.h>
#include <sys/ioctl.h>

#include <cerrno>
#include <cstdlib>
#include <cstring>

namespace nestcup::drivers {
namespace {

Error failed(const char* what) {
  const int code = errno;
  if (code == ENOTTY) {
    return {Fault::bad_configuration, "it is no serial port; check `device`"};
  }
  return {Fault::unavailable, fmt::format("cannot {}: {}", what, std::strerror(code))};
}

void make_raw(termios2& settings, int baud) {
  // No IGNPAR, no ISTRIP, no translation of CR and NL, no XON/XOFF: bytes come as they are.
  settings.c_iflag = 0;
  settings.c_oflag = 0;
  settings.c_lflag = 0;
  settings.c_cflag = CS8 | CREAD | CLOCAL | BOTHER;
  settings.c_cc[VMIN] = 1;
  settings.c_cc[VTIME] = 0;
  settings.c_ispeed = settings.c_ospeed = static_cast<speed_t>(baud);
}

bool is_raw(const termios2& settings) {
  constexpr tcflag_t must_be_off = HUPCL | CRTSCTS | PARENB | CSTOPB;
  return settings.c_iflag == 0 && (settings.c_lflag & (ICANON | ECHO | ISIG)) == 0 &&
         (settings.c_cflag & CSIZE) == CS8 && (settings.c_cflag & must_be_off) == 0 &&
         settings.c_cc[VMIN] == 1 && settings.c_cc[VTIME] == 0;
}

}  // namespace

Result<void> set_raw_mode(int descriptor, int baud) {
  termios2 settings{};
  if (ioctl(descriptor, TCGETS2, &settings) != 0) return failed("read its settings");
  make_raw(settings, baud);
  if (ioctl(descriptor, TCSETS2, &settings) != 0) return failed("set it up");
  if (ioctl(descriptor, TCGETS2, &settings) != 0) return failed("read its settings back");
  if (!is_raw(settings)) {
    return Error{Fault::bad_configuration, "its driver refuses raw mode with 8 data bits"};
  }
  const int made = static_cast<int>(settings.c_ospeed);
  if (std::abs(made - baud) > baud / 50) {
    return Error{Fault::bad_configuration,
                 fmt::format("it cannot do {} Bd (nearest: {}); check `baud`", baud, made)};
  }
  return {};
}

}  // namespace nestcup::drivers
