#include "sim/probe_reader.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <set>

#include "sim/board_reader.hpp"
#include "sim/event_reader.hpp"
#include "sim/firmware_senml.hpp"
#include "sim/modbus_frame.hpp"
#include "sim/sensor_reader.hpp"

namespace nestcup::sim {

namespace {

/// The units as they are spelt, in the order of RawUnit.
constexpr std::array<std::string_view, 9> unit_names = [] {
  std::array<std::string_view, 9> names;
  for (std::size_t i = 0; i < names.size(); ++i) names[i] = unit_name(static_cast<RawUnit>(i));
  return names;
}();

constexpr std::int64_t most_averaged = 100;

/// Names are columns of a trace and words on the line: small letters, digits, hyphens.
bool is_good_name(const std::string& name) {
  return !name.empty() && name.size() <= 32 &&
         name.find_first_not_of("abcdefghijklmnopqrstuvwxyz0123456789-_") == std::string::npos;
}

/// A probe whose junction is known by name only, since that probe may stand further down.
struct Pending {
  std::size_t probe = 0;
  std::string cold;
  std::size_t line = 0;
};

/// Reads one table after another.
class ProbesReader {
 public:
  ProbesReader(Protocol protocol, Problems& problems) : protocol_(protocol), problems_(problems) {}

  void read(const toml::table& table) {
    TableReader reader(table, fmt::format("probe {}", probes_.size() + 1), problems_);
    ProbeSettings probe;
    read_name(reader, probe);
    read_physics(reader, probe);
    read_electronics(reader, probe);
    if (protocol_ == Protocol::modbus_rtu) {
      probe.registers = read_registers(reader);
      if (!reader.has("register")) reader.complain("register", "missing");
      check_overlap(reader, probe);
    }
    reader.finish();
    probes_.push_back(probe);
  }

  [[nodiscard]] std::vector<ProbeSettings> finish() {
    for (const Pending& pending : pending_) join(pending);
    if (probes_.empty()) problems_.add(1, "[[probe]]: missing; expected one to eight");
    if (probes_.size() > max_probes) problems_.add(1, "[[probe]]: more than eight");
    return probes_;
  }

 private:
  void read_name(TableReader& reader, ProbeSettings& probe) {
    probe.name = reader.text("name");
    if (reader.has("name") && !is_good_name(probe.name)) {
      reader.complain("name", "expected small letters, digits, '-' and '_'");
    }
    if (!names_.insert(probe.name).second) reader.complain("name", "is taken by another probe");
  }

  static void read_physics(TableReader& reader, ProbeSettings& probe) {
    probe.place = read_place(reader, "place");
    probe.lag_s = reader.lag("lag_s", probe.lag_s);
    probe.air_lag_s = reader.lag("air_lag_s", probe.air_lag_s);
    probe.immersed = reader.number("immersed", {0.01, 1.0}, probe.immersed);
    probe.offset_K = reader.number("offset_K", {-20.0, 20.0}, probe.offset_K);
    probe.scale_error = reader.number("scale_error", {-0.5, 0.5}, probe.scale_error);
    probe.noise_K = reader.number("noise_K", {0.0, 10.0}, probe.noise_K);
    const std::int64_t averaged = reader.whole("averaged", 1, 1);
    if (averaged > most_averaged) {
      reader.complain("averaged", fmt::format("expected 1 to {}", most_averaged));
    }
    probe.averaged = static_cast<std::size_t>(std::min(averaged, most_averaged));
    probe.evaporation_K = reader.number("evaporation_K", {0.0, 20.0}, probe.evaporation_K);
    probe.dry_s = reader.number("dry_s", {5.0, 1e5}, probe.dry_s);
  }

  void read_electronics(TableReader& reader, ProbeSettings& probe) {
    probe.sends = static_cast<RawUnit>(reader.choice("sends", unit_names, 0));
    const bool is_degC = probe.sends == RawUnit::degC;
    // A last digit in kelvin is none of what is sent in another unit.
    probe.step_K = reader.number("step_K", {0.0, 10.0}, is_degC ? probe.step_K : 0.0);
    if (probe.step_K > 0.0 && probe.step_K < 1e-6) reader.complain("step_K", "is too fine");
    if (!is_degC && reader.has("step_K")) {
      reader.complain("step_K", "only where degC are sent; step_raw rounds other units");
    }
    probe.step_raw = reader.number("step_raw", {0.0, 1e6}, 0.0);
    if (probe.step_raw > 0.0 && probe.step_raw < 1e-12) reader.complain("step_raw", "is too fine");
    if (is_degC && reader.has("step_raw")) {
      reader.complain("step_raw", "only where something else than degC is sent; see step_K");
    }
    if (const toml::table* table = reader.table("sensor")) {
      TableReader inner(*table, fmt::format("probe {}.sensor", probes_.size() + 1), problems_);
      SensorTable sensor = read_sensor(inner);
      probe.sensor = sensor.sensor;
      if (!sensor.cold.empty()) {
        pending_.push_back({probes_.size(), sensor.cold, table->source().begin.line});
      }
    }
    check_unit(reader, probe);
  }

  void check_unit(TableReader& reader, const ProbeSettings& probe) const {
    const std::string unit{unit_name(probe.sends)};
    if (!unit_fits(probe.sensor, probe.sends)) {
      reader.complain("sends",
                      fmt::format("{} is not what this sensor gives: a temperature needs none, ohm "
                                  "one without series_ohm, count, ratio and voltages one with "
                                  "series_ohm, voltages a thermocouple",
                                  unit));
    }
    const bool scpi_has_it =
        is_temperature(probe.sends) || probe.sends == RawUnit::ohm || probe.sends == RawUnit::volt;
    if ((protocol_ == Protocol::senml && senml_unit(probe.sends).empty()) ||
        (protocol_ == Protocol::scpi && !scpi_has_it)) {
      reader.complain("sends", fmt::format("{} has no {}", protocol_name(protocol_), unit));
    }
  }

  void check_overlap(TableReader& reader, const ProbeSettings& probe) const {
    const auto end = [](const RegisterSettings& at) {
      return at.first + register_count(at.format);
    };
    const RegisterSettings& mine = probe.registers;
    for (const ProbeSettings& other : probes_) {
      const RegisterSettings& its = other.registers;
      if (its.device == mine.device && its.function == mine.function && its.first < end(mine) &&
          mine.first < end(its)) {
        reader.complain("register", fmt::format("is taken by \"{}\"", other.name));
      }
    }
  }

  void join(const Pending& pending) {
    const auto found =
        std::find_if(probes_.begin(), probes_.end(),
                     [&](const ProbeSettings& probe) { return probe.name == pending.cold; });
    if (found == probes_.end() || found - probes_.begin() == static_cast<long>(pending.probe)) {
      problems_.add(pending.line, fmt::format("probe {}.sensor.cold: no other [[probe]] is named "
                                              "\"{}\"",
                                              pending.probe + 1, pending.cold));
      return;
    }
    probes_[pending.probe].junction = static_cast<std::size_t>(found - probes_.begin());
  }

  Protocol protocol_;
  Problems& problems_;
  std::vector<ProbeSettings> probes_;
  std::set<std::string> names_;
  std::vector<Pending> pending_;
};

}  // namespace

std::vector<ProbeSettings> read_probes(const std::vector<const toml::table*>& tables,
                                       Protocol protocol, Problems& problems) {
  ProbesReader reader(protocol, problems);
  for (const toml::table* table : tables) reader.read(*table);
  return reader.finish();
}

}  // namespace nestcup::sim
