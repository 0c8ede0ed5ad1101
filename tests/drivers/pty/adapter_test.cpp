// Which adapter is behind a port: from a tree like the kernel's, with pseudo-terminals as ports.
#include <filesystem>
#include <fstream>

#include "drivers/line/adapter_identity.hpp"
#include "drivers/line/serial_line.hpp"
#include "tests/catch.hpp"
#include "tests/drivers/pty/port_bench.hpp"
#include "tests/drivers/pty/pty.hpp"

using namespace nestcup;
using namespace nestcup::drivers;
using namespace nestcup::drivers::testing;

namespace {

namespace fs = std::filesystem;

/// A folder of its own that goes with the object.
struct Folder {
  fs::path path;
  Folder() {
    std::string name = fs::temp_directory_path() / "nestcup-sysfs-XXXXXX";
    path = mkdtemp(name.data());
  }
  ~Folder() { fs::remove_all(path); }
};

void write(const fs::path& path, const std::string& text) {
  fs::create_directories(path.parent_path());
  std::ofstream(path) << text << '\n';
}

/// Plugs an adapter in: the tree of class/tty and of the USB device that it leads to.
void plug(const Folder& sysfs, const std::string& tty, const AdapterIdentity& adapter) {
  const fs::path device = sysfs.path / "devices/pci0000:00/usb1" / adapter.usb_path;
  write(device / "idVendor", adapter.vendor);
  write(device / "idProduct", adapter.product);
  if (!adapter.serial.empty()) write(device / "serial", adapter.serial);
  const fs::path interface = device / (adapter.usb_path + ":1.0");
  write(interface / "bInterfaceNumber", adapter.interface);
  fs::create_directories(interface / tty);
  fs::create_directories(sysfs.path / "class/tty" / tty);
  fs::create_directory_symlink(interface / tty, sysfs.path / "class/tty" / tty / "device");
}

std::string name_of(const Pty& pty) {
  return fs::path(pty.path()).filename().string();
}

const AdapterIdentity blue{"2e8a", "000a", "E6614103E7", "00", "1-1.2"};
const AdapterIdentity plain{"1a86", "7523", "", "00", "1-1.3"};

}  // namespace

TEST_CASE("an adapter is told by vendor, product, serial number and interface") {
  const Folder sysfs;
  Pty pty, other, none;
  plug(sysfs, name_of(pty), blue);
  plug(sysfs, name_of(other), plain);
  const auto found = adapter_behind(pty.path(), sysfs.path);
  REQUIRE(found);
  CHECK(found->text() == "2e8a:000a, serial number E6614103E7, interface 00, socket 1-1.2");
  const auto second = adapter_behind(other.path(), sysfs.path);
  REQUIRE(second);
  CHECK_THAT(second->text(), ContainsSubstring("no serial number"));
  CHECK_FALSE(found->is_same_as(*second));
  CHECK_FALSE(adapter_behind(none.path(), sysfs.path));
  CHECK_FALSE(adapter_behind("/dev/no-such-port", sysfs.path));
}

TEST_CASE("an adapter with a serial number may change its socket, one without may not") {
  AdapterIdentity moved = blue;
  moved.usb_path = "2-3";
  CHECK(moved.is_same_as(blue));
  moved.serial = "E6614103E8";
  CHECK_FALSE(moved.is_same_as(blue));
  AdapterIdentity twin = plain;
  twin.usb_path = "1-1.4";  // two boards of one make in two sockets
  CHECK_FALSE(twin.is_same_as(plain));
  AdapterIdentity second = blue;
  second.interface = "02";  // the other port of the same device
  CHECK_FALSE(second.is_same_as(blue));
}

TEST_CASE("another adapter under the same name is held, the first one is taken again") {
  const Folder sysfs;
  const fs::path link = sysfs.path / "board";
  auto first = std::make_unique<Pty>();
  plug(sysfs, name_of(*first), plain);
  fs::create_symlink(first->path(), link);

  boost::asio::io_context context;
  const FastClock clock(100.0);
  std::string told, heard;
  PortSettings settings = port_at(link);
  settings.settle_s = 0.0;
  SerialLine line(
      context, clock, settings,
      {[] {},
       [&](std::span<const char> bytes, TimeUs) { heard.append(bytes.data(), bytes.size()); },
       [&](const LineChange& change) { told += change.reason + "\n"; }},
      sysfs.path);
  const auto run_until = [&](auto done) {
    for (int i = 0; i < 2000 && !done(); ++i) {
      context.restart();
      context.run_for(std::chrono::milliseconds(2));
    }
    return done();
  };
  line.start();
  REQUIRE(run_until([&] { return line.state().state == LineState::open; }));
  REQUIRE(line.adapter());

  Pty wrong, right;
  AdapterIdentity twin = plain;
  twin.usb_path = "1-1.4";
  plug(sysfs, name_of(wrong), twin);
  AdapterIdentity same = plain;
  same.usb_path = "1-1.3";
  const auto relink = [&](const Pty& target) {
    fs::remove(link);
    fs::create_symlink(target.path(), link);
  };
  relink(wrong);
  const std::string old_name = name_of(*first);
  first.reset();
  REQUIRE(run_until([&] { return told.find("another adapter") != std::string::npos; }));
  CHECK(told.find("socket 1-1.4") != std::string::npos);
  REQUIRE(wrong.write("99.9\n"));
  CHECK_FALSE(run_until([&] { return line.state().state == LineState::open || !heard.empty(); }));

  plug(sysfs, name_of(right), same);
  relink(right);
  REQUIRE(run_until([&] { return line.state().state == LineState::open; }));
  REQUIRE(right.write("21.5\n"));
  REQUIRE(run_until([&] { return !heard.empty(); }));
  CHECK(heard == "21.5\n");
  CHECK(old_name != name_of(right));  // gone and back under another number
}
