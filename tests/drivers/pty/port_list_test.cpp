#include "drivers/line/port_list.hpp"

#include <algorithm>

#include "tests/catch.hpp"
#include "tests/drivers/pty/pty.hpp"

using namespace nestcup;
using namespace nestcup::drivers;
using namespace nestcup::drivers::testing;

TEST_CASE("the ports of this machine are listed in order, each with its access") {
  const auto ports = list_ports();
  REQUIRE(ports);
  CHECK(std::is_sorted(ports->begin(), ports->end(),
                       [](const auto& a, const auto& b) { return a.path < b.path; }));
  for (const auto& port : *ports) {
    INFO(port.path);
    CHECK(port.path.starts_with("/dev/"));
    CHECK(port.access.advice.empty() == (port.access.access == PortAccess::free));
  }
}

TEST_CASE("the lasting name is the first link that leads to the port") {
  const Pty one;
  const Pty other;
  const TempFolder folder;
  folder.link("usb-Board_B-if00", one.path());
  folder.link("usb-Board_A-if00", one.path());
  folder.link("usb-Board_0-if00", other.path());
  folder.link("usb-Gone-if00", "/dev/no-such-port");
  CHECK(lasting_link(one.path(), folder.file("")) == folder.file("usb-Board_A-if00"));
  CHECK_FALSE(lasting_link("/dev/null", folder.file("")).has_value());
  CHECK_FALSE(lasting_link(one.path(), folder.file("none")).has_value());
}
