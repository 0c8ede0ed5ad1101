// The board's end of a pseudo-terminal.
#include "sim/pty.hpp"

#include "tests/catch.hpp"
#include "tests/sim/sim_process.hpp"

using namespace nestcup::sim;

TEST_CASE("a line sent as the port was closed does not reach whoever opens it next") {
  const auto pty = Pty::open();
  REQUIRE(pty.ok());
  {
    PortReader first(pty->other_end());
    pty->write("read\r\n");
    CHECK(first.line() == "read");
  }
  REQUIRE_FALSE(pty->in_use());
  pty->write("stale\r\n");
  pty->discard_unread();
  PortReader second(pty->other_end());
  pty->write("new\r\n");
  CHECK(second.line() == "new");
}
