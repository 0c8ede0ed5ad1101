#include "core/sheet/bench_file.hpp"

#include <cstdlib>
#include <filesystem>
#include <fstream>

#include "tests/catch.hpp"

using namespace nestcup;

namespace {

const std::string whole_file = R"(# The bench by the window.
[bench]
name = "window"
interval_s = 0.25
after_period_s = 240
calibration_max_age_days = 90
store = "data/window.db"
control = "/run/nestcup/window.sock"
listen = "127.0.0.1:8734"
sheet = "magnesia.toml"

[page]
names = ["bench-4.lab.example", "lab.example:8443"]
connections = 200
connections_per_address = 20

[[port]]
name = "board"
device = "/dev/serial/by-id/usb-two-probes"
baud = 57600
protocol = "text"
separator = "semicolon"
decimal = "comma"
comment = "//"
request = "?\r\n"
settle_s = 1.5
silence_s = 4

[[port]]
name = "wall"
device = "/dev/serial/by-id/usb-wall"

[[probe]]
name = "cup"
role = "cup"
port = "board"
column = 1
unit = "degC"
tolerance_K = 0.2

[[probe]]
name = "beaker"
role = "added"
port = "board"
column = 2
unit = "degF"
min_degC = -5
max_degC = 105.5

[[probe]]
name = "room"
port = "wall"
key = "T1"
unit = "K"

[[notebook]]
kind = "folder"
path = "notebook"

[[notebook]]
kind = "webdav"
url = "https://notes.example/lab"
)";

const std::string smallest_file = R"([bench]
name = "window"
[[port]]
name = "board"
device = "/dev/ttyACM0"
[[probe]]
name = "cup"
port = "board"
column = 1
)";

}  // namespace

TEST_CASE("a whole bench file is read with paths beside it") {
  const auto check = parse_bench_file(whole_file, "/lab/window/bench.toml");
  for (const Error& problem : check.problems) UNSCOPED_INFO(problem.text);
  REQUIRE(check.bench.has_value());
  const BenchFile& bench = *check.bench;
  CHECK(bench.name == "window");
  CHECK(bench.interval_s == 0.25);
  CHECK(bench.after_period_s == 240.0);
  CHECK(bench.calibration_max_age_days == 90.0);
  CHECK(bench.store == "/lab/window/data/window.db");
  CHECK(bench.control == "/run/nestcup/window.sock");
  CHECK(bench.listen == "127.0.0.1:8734");
  CHECK(bench.sheet == "/lab/window/magnesia.toml");
  CHECK(bench.page.names == std::vector<std::string>{"bench-4.lab.example", "lab.example:8443"});
  CHECK(bench.page.connections == 200);
  CHECK(bench.page.connections_per_address == 20);
  REQUIRE(bench.notebooks.size() == 2);
  CHECK(bench.notebooks[0].kind == "folder");
  CHECK(bench.notebooks[0].target == "/lab/window/notebook");
  CHECK(bench.notebooks[1].kind == "webdav");
  CHECK(bench.notebooks[1].target == "https://notes.example/lab");
}

TEST_CASE("the ports of a whole bench file") {
  const auto check = parse_bench_file(whole_file, "/lab/window/bench.toml");
  REQUIRE(check.bench.has_value());
  REQUIRE(check.bench->ports.size() == 2);
  const PortSettings& board = check.bench->ports[0];
  CHECK(board.name == "board");
  CHECK(board.device == "/dev/serial/by-id/usb-two-probes");
  CHECK(board.mode.baud == 57600);
  CHECK(board.protocol == "text");
  CHECK(board.separator == ';');
  CHECK(board.decimal == Decimal::comma);
  CHECK(board.comment == "//");
  CHECK(board.request == "?\r\n");
  CHECK(board.settle_s == 1.5);
  CHECK(board.silence_s == 4.0);
  const PortSettings& wall = check.bench->ports[1];
  CHECK(wall.mode.baud == 115200);
  CHECK(wall.separator == ',');
  CHECK(wall.decimal == Decimal::point);
  CHECK(wall.comment == "#");
  CHECK(wall.request.empty());
}

TEST_CASE("the probes of a whole bench file") {
  const auto check = parse_bench_file(whole_file, "/lab/window/bench.toml");
  REQUIRE(check.bench.has_value());
  REQUIRE(check.bench->probes.size() == 3);
  const ProbeSettings& cup = check.bench->probes[0];
  CHECK(cup.role == ProbeRole::cup);
  CHECK(cup.channel.column == 1);
  CHECK_FALSE(cup.channel.key.has_value());
  CHECK(cup.tolerance_K == 0.2);
  CHECK(cup.lowest_degC == -60.0);
  CHECK(cup.highest_degC == 160.0);
  const ProbeSettings& beaker = check.bench->probes[1];
  CHECK(beaker.role == ProbeRole::added);
  CHECK(beaker.channel.unit == RawUnit::degF);
  CHECK(beaker.lowest_degC == -5.0);
  CHECK(beaker.highest_degC == 105.5);
  CHECK_FALSE(beaker.tolerance_K.has_value());
  const ProbeSettings& room = check.bench->probes[2];
  CHECK(room.role == ProbeRole::room);  // from its name
  CHECK(room.channel.unit == RawUnit::kelvin);
  CHECK(room.channel.key == "T1");
  CHECK_FALSE(room.channel.column.has_value());
}

TEST_CASE("store and control follow the bench's name where the file does not say") {
  const auto check = parse_bench_file(smallest_file, "/lab/bench.toml");
  REQUIRE(check.bench.has_value());
  CHECK(check.bench->store == "/lab/window.db");
  CHECK(check.bench->control == "/lab/window.sock");
  CHECK(check.bench->listen.empty());
  CHECK(check.bench->page.names.empty());
  CHECK(check.bench->page.connections == 64);
  CHECK(check.bench->page.connections_per_address == 16);
  CHECK(check.bench->sheet.empty());
  CHECK(check.bench->interval_s == 0.5);
  CHECK(check.bench->after_period_s == 180.0);
  CHECK(check.bench->calibration_max_age_days == 365.0);
  CHECK(check.bench->ports[0].silence_s == 5.0);
}

TEST_CASE("a service's bench keeps its store and its socket where its unit may write") {
  const auto check = parse_bench_file(smallest_file, "/etc/nestcup/left.toml");
  REQUIRE(check.bench.has_value());
  CHECK(check.bench->store == "/var/lib/nestcup/left/window.db");
  CHECK(check.bench->control == "/run/nestcup/left/window.sock");
  // What the file says holds there as anywhere.
  std::string text = smallest_file;
  text.insert(text.find("[[port]]"), "store = \"day.db\"\ncontrol = \"/run/day.sock\"\n");
  const auto told = parse_bench_file(text, "/etc/nestcup/left.toml");
  REQUIRE(told.bench.has_value());
  CHECK(told.bench->store == "/etc/nestcup/day.db");
  CHECK(told.bench->control == "/run/day.sock");
  const auto deeper = parse_bench_file(smallest_file, "/etc/nestcup/old/left.toml");
  REQUIRE(deeper.bench.has_value());
  CHECK(deeper.bench->store == "/etc/nestcup/old/window.db");
}

TEST_CASE("a slow bench is patient with silent ports") {
  std::string text = smallest_file;
  text.insert(text.find("[[port]]"), "interval_s = 20\n");
  const auto check = parse_bench_file(text, "/lab/bench.toml");
  REQUIRE(check.bench.has_value());
  CHECK(check.bench->ports[0].silence_s == 60.0);
}

TEST_CASE("paths of a file in the working folder are absolute") {
  const auto check = parse_bench_file(smallest_file, "bench.toml");
  REQUIRE(check.bench.has_value());
  CHECK(check.bench->store == (std::filesystem::current_path() / "window.db").string());
}

TEST_CASE("a bench file is read from the disk, and its absence is told") {
  std::string folder = (std::filesystem::temp_directory_path() / "nestcup_bench_XXXXXX").string();
  REQUIRE(mkdtemp(folder.data()) != nullptr);
  const std::string path = folder + "/bench.toml";
  std::ofstream(path) << smallest_file;
  CHECK(read_bench_file(path).bench.has_value());

  const auto missing = read_bench_file(folder + "/none.toml");
  REQUIRE(missing.problems.size() == 1);
  CHECK(missing.problems[0].kind == Fault::no_input);
  CHECK_THAT(missing.problems[0].text, ContainsSubstring("none.toml"));
  CHECK(read_bench_file(folder).problems.at(0).kind == Fault::no_input);
  std::filesystem::remove_all(folder);
}
