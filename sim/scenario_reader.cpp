#include <fmt/format.h>

#include <fstream>
#include <iterator>
#include <set>

#include "sim/event_reader.hpp"
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

/// Names are columns of a trace and words on the line: small letters, digits, hyphens.
bool is_good_name(const std::string& name) {
  return !name.empty() && name.size() <= 32 &&
         name.find_first_not_of("abcdefghijklmnopqrstuvwxyz0123456789-_") == std::string::npos;
}

std::vector<ProbeSettings> read_probes(const std::vector<const toml::table*>& tables,
                                       Problems& problems) {
  std::vector<ProbeSettings> probes;
  std::set<std::string> names;
  for (const toml::table* table : tables) {
    TableReader reader(*table, fmt::format("probe {}", probes.size() + 1), problems);
    ProbeSettings probe;
    probe.name = reader.text("name");
    if (reader.has("name") && !is_good_name(probe.name)) {
      reader.complain("name", "expected small letters, digits, '-' and '_'");
    }
    if (!names.insert(probe.name).second) reader.complain("name", "is taken by another probe");
    probe.place = read_place(reader, "place");
    probe.lag_s = reader.lag("lag_s", probe.lag_s);
    probe.air_lag_s = reader.lag("air_lag_s", probe.air_lag_s);
    probe.immersed = reader.number("immersed", {0.01, 1.0}, probe.immersed);
    probe.offset_K = reader.number("offset_K", {-20.0, 20.0}, probe.offset_K);
    probe.scale_error = reader.number("scale_error", {-0.5, 0.5}, probe.scale_error);
    probe.noise_K = reader.number("noise_K", {0.0, 10.0}, probe.noise_K);
    probe.step_K = reader.number("step_K", {0.0, 10.0}, probe.step_K);
    if (probe.step_K > 0.0 && probe.step_K < 1e-6) reader.complain("step_K", "is too fine");
    probe.evaporation_K = reader.number("evaporation_K", {0.0, 20.0}, probe.evaporation_K);
    probe.dry_s = reader.number("dry_s", {5.0, 1e5}, probe.dry_s);
    reader.finish();
    probes.push_back(probe);
  }
  if (probes.empty()) problems.add(1, "[[probe]]: missing; expected one to eight");
  if (probes.size() > max_probes) problems.add(1, "[[probe]]: more than eight");
  return probes;
}

void read_board(const toml::table* table, BoardSettings& board, Problems& problems) {
  if (table == nullptr) return;
  TableReader reader(*table, "board", problems);
  board.banner = reader.texts("banner");
  board.reset_on_open = reader.flag("reset_on_open", board.reset_on_open);
  board.boot_s = reader.number("boot_s", {0.0, 60.0}, board.boot_s);
  board.boot_junk = static_cast<int>(reader.number("boot_junk", {0.0, 1000.0}, 0.0));
  board.polled = reader.flag("polled", board.polled);
  board.separator = reader.text("separator", board.separator);
  board.keyed = reader.flag("keyed", board.keyed);
  board.uptime_column = reader.flag("uptime_column", board.uptime_column);
  board.comment_every_s = reader.number("comment_every_s", {0.0, 1e6}, 0.0);
  reader.finish();
}

Scenario read_all(const toml::table& root, Problems& problems) {
  Scenario scenario;
  TableReader top(root, "", problems);
  read_head(top.table("scenario"), scenario, problems);
  read_room(top.table("room"), scenario.room, problems);
  read_vessels(top, scenario, problems);
  scenario.probes = read_probes(top.tables("probe"), problems);
  scenario.events = read_events(top.tables("event"), scenario.probes, problems);
  scenario.faults = read_faults(top.tables("fault"), problems);
  read_board(top.table("board"), scenario.board, problems);
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
