#include "drivers/line/serial_descriptor.hpp"

#include <fcntl.h>
#include <grp.h>
#include <signal.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

#include <array>
#include <functional>

#include "drivers/line/port_access.hpp"
#include "tests/catch.hpp"
#include "tests/drivers/pty/pty.hpp"

using namespace nestcup;
using namespace nestcup::drivers;
using namespace nestcup::drivers::testing;

namespace {

// A process of its own, which runs `work`, says with one byte that it is done, and waits to be
// killed.
class Child {
 public:
  explicit Child(const std::function<std::string()>& work) {
    int ends[2];
    if (pipe(ends) != 0) throw std::runtime_error("no pipe");
    process_ = fork();
    if (process_ == 0) {
      const std::string said = work() + "\n";
      if (::write(ends[1], said.data(), said.size()) < 0) _exit(1);
      pause();
      _exit(0);
    }
    ::close(ends[1]);
    char byte = 0;
    while (::read(ends[0], &byte, 1) == 1 && byte != '\n') said_ += byte;
    ::close(ends[0]);
  }
  Child(const Child&) = delete;
  Child& operator=(const Child&) = delete;
  ~Child() { end(); }

  [[nodiscard]] const std::string& said() const { return said_; }
  [[nodiscard]] pid_t process() const { return process_; }
  void end() {
    if (process_ <= 0) return;
    kill(process_, SIGKILL);
    waitpid(process_, nullptr, 0);
    process_ = -1;
  }

 private:
  pid_t process_ = -1;
  std::string said_;
};

std::string text_of(const Result<SerialDescriptor>& result) {
  return result ? "open" : result.error().text;
}

LineMode at(int baud) {
  LineMode mode;
  mode.baud = baud;
  return mode;
}

bool mentions(const std::string& text, const std::string& words) {
  return text.find(words) != std::string::npos;
}

}  // namespace

TEST_CASE("an opened port is raw, closes on exec and never blocks") {
  Pty pty;
  termios cooked = pty.settings();
  cooked.c_lflag |= ICANON | ECHO | ISIG;
  cooked.c_iflag |= ICRNL | IXON | IGNPAR;
  cooked.c_cflag |= HUPCL | CRTSCTS;
  pty.set(cooked);
  const auto port = SerialDescriptor::open(pty.path(), at(115200));
  REQUIRE(port);
  const termios settings = pty.settings();
  CHECK((settings.c_lflag & (ICANON | ECHO | ISIG)) == 0);
  CHECK(settings.c_iflag == 0);
  CHECK((settings.c_cflag & (HUPCL | CRTSCTS)) == 0);
  CHECK((settings.c_cflag & (CLOCAL | CREAD)) == (CLOCAL | CREAD));
  CHECK(settings.c_cc[VMIN] == 1);
  CHECK(settings.c_cc[VTIME] == 0);
  CHECK((fcntl(port->get(), F_GETFD) & FD_CLOEXEC) != 0);
  CHECK((fcntl(port->get(), F_GETFL) & O_NONBLOCK) != 0);
}

TEST_CASE("rates beside the usual ones can be had, 1200 Bd cannot") {
  Pty pty;
  for (const int baud : {9600, 115200, 250000, 12345}) {
    INFO(baud);
    CHECK(text_of(SerialDescriptor::open(pty.path(), at(baud))) == "open");
  }
  for (const int baud : {1200, 0, -9600}) {
    const auto refused = SerialDescriptor::open(pty.path(), at(baud));
    REQUIRE_FALSE(refused);
    CHECK(refused.error().kind == Fault::bad_configuration);
  }
}

TEST_CASE("what waited before opening is thrown away") {
  Pty pty;
  REQUIRE(pty.write("stale\r\n"));
  const auto port = SerialDescriptor::open(pty.path(), at(9600));
  REQUIRE(port);
  char byte = 0;
  CHECK(::read(port->get(), &byte, 1) == -1);
  CHECK(errno == EAGAIN);
}

TEST_CASE("a port is had by one at a time, and the second is told by whom") {
  Pty pty;
  {
    Child holder([&] {
      static auto held = SerialDescriptor::open(pty.path(), at(9600));
      return text_of(held);
    });
    REQUIRE(holder.said() == "open");
    const auto second = SerialDescriptor::open(pty.path(), at(9600));
    REQUIRE_FALSE(second);
    CHECK(second.error().kind == Fault::try_later);
    CHECK(mentions(second.error().text, "process " + std::to_string(holder.process())));
    CHECK(look_at_port(pty.path()).access == PortAccess::taken);
    // The failed try has not loosened the holder's grip.
    CHECK_FALSE(SerialDescriptor::open(pty.path(), at(9600)));
  }
  // The holder was killed without a chance to clean up, the device is still there.
  CHECK(text_of(SerialDescriptor::open(pty.path(), at(9600))) == "open");
  CHECK(look_at_port(pty.path()).access == PortAccess::free);
}

TEST_CASE("a failed try costs the holder none of its bytes") {
  Pty pty;
  const auto holder = SerialDescriptor::open(pty.path(), at(9600));
  REQUIRE(holder);
  REQUIRE(pty.write("21.5"));
  REQUIRE_FALSE(SerialDescriptor::open(pty.path(), at(9600)));
  std::array<char, 8> buffer{};
  CHECK(::read(holder->get(), buffer.data(), buffer.size()) == 4);
}

TEST_CASE("a program that only has the port open is found as well") {
  Pty pty;
  Child holder([&] {
    return std::string(::open(pty.path().c_str(), O_RDWR | O_NOCTTY) >= 0 ? "open" : "no");
  });
  REQUIRE(holder.said() == "open");
  const auto report = look_at_port(pty.path());
  CHECK(report.access == PortAccess::taken);
  CHECK(mentions(report.advice, "process " + std::to_string(holder.process())));
}

TEST_CASE("a port without permission names the owning group and what to do") {
  Pty pty;
  REQUIRE(chmod(pty.path().c_str(), 0) == 0);
  const auto as_nobody = [&](const std::function<std::string()>& work) {
    return Child([&] {
             const bool root = geteuid() == 0;
             if (root && (setgroups(0, nullptr) != 0 || setgid(65534) != 0 || setuid(65534) != 0)) {
               return std::string("still root");
             }
             return work();
           })
        .said();
  };
  const std::string closed = as_nobody([&] {
    const auto port = SerialDescriptor::open(pty.path(), at(9600));
    return !port && port.error().kind == Fault::not_permitted ? port.error().text : "no such fault";
  });
  INFO(closed);
  CHECK(mentions(closed, "not permitted"));
  CHECK(mentions(closed, "group"));
  CHECK(as_nobody([&] {
          const auto report = look_at_port(pty.path());
          return report.access == PortAccess::not_permitted ? report.advice : "no such access";
        }) == closed.substr(std::string("not permitted: ").size()));
  if (geteuid() != 0) return;  // only root can give a file to another group
  REQUIRE(chown(pty.path().c_str(), 0, 20) == 0);
  REQUIRE(chmod(pty.path().c_str(), 0660) == 0);
  const std::string other_group =
      as_nobody([&] { return text_of(SerialDescriptor::open(pty.path(), at(9600))); });
  INFO(other_group);
  const group* const owner = getgrgid(20);
  CHECK(mentions(other_group, owner != nullptr ? owner->gr_name : "20"));
  CHECK(mentions(other_group, "adduser"));
}

TEST_CASE("what is not there, or no serial port, is said so") {
  const auto missing = SerialDescriptor::open("/dev/no-such-port", at(9600));
  REQUIRE_FALSE(missing);
  CHECK(missing.error().kind == Fault::no_input);
  CHECK(mentions(missing.error().text, "nestcup ports"));
  const auto no_port = SerialDescriptor::open("/dev/null", at(9600));
  REQUIRE_FALSE(no_port);
  CHECK(no_port.error().kind == Fault::bad_configuration);
  CHECK(look_at_port("/dev/no-such-port").access == PortAccess::missing);
}

TEST_CASE("a hang-up is told from quiet") {
  Pty pty;
  const auto port = SerialDescriptor::open(pty.path(), at(9600));
  REQUIRE(port);
  CHECK_FALSE(is_hung_up(port->get()));
  pty.unplug();
  CHECK(is_hung_up(port->get()));
}
