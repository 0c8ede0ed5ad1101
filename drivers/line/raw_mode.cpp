#include "drivers/line/raw_mode.hpp"

// The kernel's own header: the C library's <termios.h> knows no free choice of the rate.
#include <asm/termbits.h>
#include <fmt/format.h>
#include <sys/ioctl.h>
#include <sys/stat.h>
#include <sys/sysmacros.h>

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

tcflag_t framing_of(const LineMode& mode) {
  tcflag_t framing = CS8;
  if (mode.parity != Parity::none) framing |= PARENB;
  if (mode.parity == Parity::odd) framing |= PARODD;
  if (mode.stop_bits == 2) framing |= CSTOPB;
  return framing;
}

void make_raw(termios2& settings, const LineMode& mode) {
  // No IGNPAR, no ISTRIP, no translation of CR and NL, no XON/XOFF: bytes come as they are.
  settings.c_iflag = mode.parity == Parity::none ? 0 : INPCK;
  settings.c_oflag = 0;
  settings.c_lflag = 0;
  settings.c_cflag = framing_of(mode) | CREAD | CLOCAL | BOTHER;
  settings.c_cc[VMIN] = 1;
  settings.c_cc[VTIME] = 0;
  settings.c_ispeed = settings.c_ospeed = static_cast<speed_t>(mode.baud);
}

bool is_raw(const termios2& settings, const LineMode& mode) {
  constexpr tcflag_t framing = CSIZE | PARENB | PARODD | CSTOPB;
  return (settings.c_iflag & ~static_cast<tcflag_t>(INPCK)) == 0 &&
         (settings.c_lflag & (ICANON | ECHO | ISIG)) == 0 &&
         (settings.c_cflag & framing) == framing_of(mode) &&
         (settings.c_cflag & (HUPCL | CRTSCTS)) == 0 && settings.c_cc[VMIN] == 1 &&
         settings.c_cc[VTIME] == 0;
}

void set_modem_line(int descriptor, int line, ModemLine wanted) {
  if (wanted == ModemLine::leave) return;
  (void)ioctl(descriptor, wanted == ModemLine::on ? TIOCMBIS : TIOCMBIC, &line);
}

}  // namespace

bool is_pseudo_terminal(int descriptor) {
  // Unix98 pseudo-terminal slaves have the majors 136 to 143 (kernel's list of devices).
  struct stat file {};
  return fstat(descriptor, &file) == 0 && major(file.st_rdev) >= 136 && major(file.st_rdev) <= 143;
}

void set_modem_lines(int descriptor, const LineMode& mode) {
  set_modem_line(descriptor, TIOCM_DTR, mode.dtr);
  set_modem_line(descriptor, TIOCM_RTS, mode.rts);
}

Result<void> set_raw_mode(int descriptor, const LineMode& wanted) {
  LineMode mode = wanted;
  if (is_pseudo_terminal(descriptor)) mode.parity = Parity::none;
  termios2 settings{};
  if (ioctl(descriptor, TCGETS2, &settings) != 0) return failed("read its settings");
  make_raw(settings, mode);
  if (ioctl(descriptor, TCSETS2, &settings) != 0) return failed("set it up");
  if (ioctl(descriptor, TCGETS2, &settings) != 0) return failed("read its settings back");
  if (!is_raw(settings, mode)) {
    return Error{Fault::bad_configuration,
                 "its driver refuses raw mode with 8 data bits; check `parity` and `stop_bits`"};
  }
  const int made = static_cast<int>(settings.c_ospeed);
  if (std::abs(made - mode.baud) > mode.baud / 50) {
    return Error{Fault::bad_configuration,
                 fmt::format("it cannot do {} Bd (nearest: {}); check `baud`", mode.baud, made)};
  }
  return {};
}

}  // namespace nestcup::drivers
