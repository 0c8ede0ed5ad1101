#include "drivers/line/serial_descriptor.hpp"

#include <fcntl.h>
#include <fmt/format.h>
#include <poll.h>
#include <sys/file.h>
#include <sys/ioctl.h>
#include <sys/stat.h>
#include <sys/sysmacros.h>
#include <termios.h>
#include <unistd.h>

#include <cerrno>
#include <cstring>
#include <utility>

#include "drivers/line/port_access.hpp"
#include "drivers/line/raw_mode.hpp"

namespace nestcup::drivers {
namespace {

Error taken(const std::string& path) {
  const std::string holder = holder_of(path);
  return {Fault::try_later, fmt::format("{} is taken by {}; end that first", path,
                                        holder.empty() ? "another program" : holder)};
}

Error cannot_open(const std::string& path) {
  const int code = errno;
  switch (code) {
    case ENOENT:
      return {Fault::no_input,
              fmt::format("there is no {}: plug it in; `nestcup ports` lists what is there", path)};
    case EPERM:  // of a control group, whatever the file's rights say
      return {Fault::not_permitted,
              fmt::format("not permitted: the service's sandbox keeps {} closed; DeviceAllow= of "
                          "its unit has to name this kind of port, and a driver that was loaded "
                          "later counts from the next start on (systemctl restart)",
                          path)};
    case EACCES:
      return {Fault::not_permitted, "not permitted: " + permission_advice(path)};
    case EBUSY:
      return taken(path);
    default:
      return {Fault::unavailable, fmt::format("cannot open {}: {}", path, std::strerror(code))};
  }
}

Result<void> take_alone(int descriptor, const std::string& path) {
  if (flock(descriptor, LOCK_EX | LOCK_NB) != 0) return taken(path);
  if (is_pseudo_terminal(descriptor)) return {};
  // Root is let in even where another program has asked to be alone.
  int exclusive = 0;
  if (ioctl(descriptor, TIOCGEXCL, &exclusive) == 0 && exclusive != 0) return taken(path);
  // Not all drivers know it; the lock is held all the same.
  (void)ioctl(descriptor, TIOCEXCL);
  return {};
}

}  // namespace

Result<SerialDescriptor> SerialDescriptor::open(const std::string& path, const LineMode& mode) {
  if (mode.baud <= 0 || (mode.baud == refused_baud && !mode.allow_1200)) {
    return Error{Fault::bad_configuration,
                 fmt::format("{}: {} Bd is refused (1200 Bd sends boards into their boot loader)",
                             path, mode.baud)};
  }
  const int raw = ::open(path.c_str(), O_RDWR | O_NOCTTY | O_NONBLOCK | O_CLOEXEC);
  if (raw < 0) return cannot_open(path);
  SerialDescriptor descriptor(raw);
  if (isatty(raw) == 0 && errno == ENOTTY) {
    return Error{Fault::bad_configuration, path + " is no serial port; check `device`"};
  }
  if (const auto alone = take_alone(raw, path); !alone) return alone.error();
  descriptor.taken_ = true;
  if (const auto set = set_raw_mode(raw, mode); !set) {
    return Error{set.error().kind, fmt::format("{}: {}", path, set.error().text)};
  }
  set_modem_lines(raw, mode);
  tcflush(raw, TCIFLUSH);
  return descriptor;
}

SerialDescriptor::SerialDescriptor(SerialDescriptor&& other) noexcept
    : descriptor_(std::exchange(other.descriptor_, -1)), taken_(other.taken_) {}

SerialDescriptor& SerialDescriptor::operator=(SerialDescriptor&& other) noexcept {
  std::swap(descriptor_, other.descriptor_);
  std::swap(taken_, other.taken_);
  return *this;
}

SerialDescriptor::~SerialDescriptor() {
  if (descriptor_ < 0) return;
  if (taken_) prepare_close(descriptor_);
  ::close(descriptor_);
}

int SerialDescriptor::release() {
  return std::exchange(descriptor_, -1);
}

void prepare_close(int descriptor) {
  // All of these fail harmlessly on a port that is gone.
  tcflush(descriptor, TCIOFLUSH);
  (void)ioctl(descriptor, TIOCNXCL);
}

bool is_hung_up(int descriptor) {
  pollfd look{descriptor, POLLIN, 0};
  if (poll(&look, 1, 0) > 0 && (look.revents & (POLLHUP | POLLERR | POLLNVAL)) != 0) return true;
  termios settings{};
  return tcgetattr(descriptor, &settings) != 0 && errno == EIO;
}

}  // namespace nestcup::drivers
