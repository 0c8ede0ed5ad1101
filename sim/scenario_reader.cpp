#include <fmt/format.h>

#include <fstream>
#include <iterator>

#include "sim/board_reader.hpp"
#include "sim/event_reader.hpp"
#include "sim/probe_reader.hpp"
#include "sim/scenario.hpp"
#include "sim/toml_reader.hpp"

namespace nestcup::sim {

namespace {

void read_head(const toml::table* table, Scenario& scenario, Problems& problems) {
  if (table == nullptr) {
    problems.add(1, "[scenario]: missing");
    return;
  }
  TableReader reader(*table, "scenario", problems);
  scenario.name = reader.text("name");
  scenario.seed = static_cast<std::uint64_t>(reader.whole("seed", 0, 1));
  scenario.duration_s = reader.number("duration_s", {1e-3, 1e7});
  scenario.interval_s = reader.number("interval_s", {1e-3, 3600.0}, scenario.interval_s);
  reader.finish();
}

void read_room(const toml::table* table, RoomSettings& room, Problems& problems) {
  if (table == nullptr) return;
  TableReader reader(*table, "room", problems);
  room.temperature_degC = reader.number("temperature_degC", {-50.0, 100.0}, room.temperature_degC);
  room.drift_K_per_h = reader.number("drift_K_per_h", {-100.0, 100.0}, 0.0);
  room.cycle_K = reader.number("cycle_K", {0.0, 50.0}, 0.0);
  room.cycle_s = reader.number("cycle_s", {10.0, 1e6}, room.cycle_s);
  room.relative_humidity = reader.number("relative_humidity", {0.0, 1.0}, room.relative_humidity);
  reader.finish();
}

void read_vessels(TableReader& top, Scenario& scenario, Problems& problems) {
  if (const toml::table* table = top.table("cup")) {
    TableReader reader(*table, "cup", problems);
    scenario.cup = read_cup(reader);
    reader.finish();
  } else {
    problems.add(1, "[cup]: missing");
  }
  // Without a word about it the second vessel is as warm as the room.
  scenario.added.temperature_degC = scenario.room.temperature_degC;
  if (const toml::table* table = top.table("added")) {
    TableReader reader(*table, "added", problems);
    scenario.added = read_added(reader);
    reader.finish();
  }
  if (const toml::table* table = top.table("lid")) {
    TableReader reader(*table, "lid", problems);
    LidSettings lid;
    lid.heat_capacity_J_per_K = reader.number("heat_capacity_J_per_K", {1e-3, 1e6});
    lid.coupling_W_per_K = reader.number("coupling_W_per_K", {0.0, 1e3});
    lid.leak_W_per_K = reader.number("leak_W_per_K", {0.0, 1e3}, 0.0);
    reader.finish();
    scenario.lid = lid;
  }
  if (const toml::table* table = top.table("layers")) {
    TableReader reader(*table, "layers", problems);
    LayerSettings layers;
    layers.wander_K = reader.number("wander_K", {0.0, 10.0}, layers.wander_K);
    layers.wander_s = reader.number("wander_s", {1.0, 1e4}, layers.wander_s);
    layers.settle_s = reader.number("settle_s", {1.0, 1e4}, layers.settle_s);
    layers.release_factor = reader.number("release_factor", {1.0, 1e3}, layers.release_factor);
    reader.finish();
    scenario.layers = layers;
  }
}

Scenario read_all(const toml::table& root, Problems& problems) {
  Scenario scenario;
  TableReader top(root, "", problems);
  read_head(top.table("scenario"), scenario, problems);
  read_room(top.table("room"), scenario.room, problems);
  read_vessels(top, scenario, problems);
  scenario.board = read_board(top.table("board"), problems);
  scenario.probes = read_probes(top.tables("probe"), scenario.board.protocol, problems);
  scenario.events = read_events(top.tables("event"), scenario.probes, problems);
  scenario.faults = read_faults(top.tables("fault"), scenario.board.protocol, problems);
  top.finish();
  return scenario;
}

}  // namespace

Result<Scenario> parse_scenario(const std::string& text, const std::string& path) {
  toml::table root;
  try {
    root = toml::parse(text, path);
  } catch (const toml::parse_error& fault) {
    return Error{Fault::bad_configuration,
                 fmt::format("{}:{}: {}", path, fault.source().begin.line, fault.description())};
  }
  Problems problems(path);
  Scenario scenario = read_all(root, problems);
  if (!problems.none()) return Error{Fault::bad_configuration, problems.text()};
  return scenario;
}

Result<Scenario> read_scenario(const std::string& path) {
  std::ifstream file(path, std::ios::binary);
  if (!file) return Error{Fault::no_input, path + ": no such scenario file can be read"};
  const std::string text{std::istreambuf_iterator<char>(file), std::istreambuf_iterator<char>()};
  return parse_scenario(text, path);
}

}  // namespace nestcup::sim
