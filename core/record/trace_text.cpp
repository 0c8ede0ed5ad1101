#include "core/record/trace_text.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "core/base/numbers.hpp"

namespace nestcup {
namespace {

/// Which cell of a row holds what of a probe; the cell behind the time counts as 0.
struct ProbeCells {
  std::size_t temperature = 0;
  std::optional<std::size_t> raw;
};

bool shows_raw(std::span<const Reading> readings, std::size_t probe) {
  return std::any_of(readings.begin(), readings.end(), [probe](const Reading& reading) {
    return reading.probe == probe && reading.raw != reading.temperature_degC;
  });
}

std::vector<ProbeCells> cells_of(std::span<const Reading> readings, std::size_t probes,
                                 const RawUnits& raw_units) {
  std::vector<ProbeCells> cells(probes);
  std::size_t next = 0;
  for (std::size_t probe = 0; probe < probes; ++probe) {
    cells[probe].temperature = next++;
    const bool known = probe < raw_units.size() && raw_units[probe];
    if (known && shows_raw(readings, probe)) cells[probe].raw = next++;
  }
  return cells;
}

std::string header_of(const std::vector<ProbeCells>& cells, const std::vector<ProbeRole>& roles,
                      const RawUnits& raw_units) {
  std::string text = "time_s";
  for (std::size_t probe = 0; probe < roles.size(); ++probe) {
    const std::string_view name = role_name(roles[probe]);
    text += fmt::format(",{}_degC", name);
    if (cells[probe].raw) text += fmt::format(",{}_{}{}", name, raw_column_lead, *raw_units[probe]);
  }
  return text + '\n';
}

}  // namespace

std::string trace_text(std::span<const Reading> readings, const std::vector<ProbeRole>& roles,
                       const RawUnits& raw_units, TimeUs origin_us) {
  const std::vector<ProbeCells> cells = cells_of(readings, roles.size(), raw_units);
  std::string text = header_of(cells, roles, raw_units);
  std::vector<std::string> row(static_cast<std::size_t>(std::count(text.begin(), text.end(), ',')));
  for (std::size_t i = 0; i < readings.size();) {
    const TimeUs time_us = readings[i].time_us;
    std::fill(row.begin(), row.end(), std::string());
    for (; i < readings.size() && readings[i].time_us == time_us; ++i) {
      const ProbeCells& place = cells[readings[i].probe];
      row[place.temperature] = number_text(readings[i].temperature_degC);
      if (place.raw) row[*place.raw] = number_text(readings[i].raw);
    }
    text += number_text(to_s(time_us - origin_us));
    for (const std::string& cell : row) text += ',' + cell;
    text += '\n';
  }
  return text;
}

}  // namespace nestcup
