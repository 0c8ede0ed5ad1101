#include "core/record/trace_file.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <fstream>
#include <iostream>
#include <iterator>
#include <optional>

#include "core/base/numbers.hpp"

namespace nestcup {
namespace {

constexpr double lowest_degC = -273.15;
constexpr double highest_degC = 2000.0;
constexpr double longest_s = 1e9;

/// Cells of one CSV line; a cell in quotes may hold commas and doubled quotes.
std::optional<std::vector<std::string>> split_cells(std::string_view line) {
  std::vector<std::string> cells(1);
  bool quoted = false;
  for (std::size_t i = 0; i < line.size(); ++i) {
    const char c = line[i];
    if (quoted && c == '"') {
      if (i + 1 < line.size() && line[i + 1] == '"') {
        cells.back() += '"';
        ++i;
      } else {
        quoted = false;
      }
    } else if (!quoted && c == '"' && cells.back().empty()) {
      quoted = true;
    } else if (!quoted && c == ',') {
      cells.emplace_back();
    } else {
      cells.back() += c;
    }
  }
  if (quoted) return std::nullopt;
  return cells;
}

class Reader {
 public:
  Reader(std::string_view text, const std::string& name) : rest_(text) {
    trace_.name = name;
    if (rest_.starts_with("\xEF\xBB\xBF")) rest_.remove_prefix(3);
  }

  Result<Trace> read() {
    if (auto header = read_header(); !header) return header.error();
    while (const auto line = next_line()) {
      if (trimmed(*line).empty()) continue;
      if (auto row = read_row(*line); !row) return row.error();
    }
    if (trace_.readings.empty()) return fail("no readings follow the header");
    return std::move(trace_);
  }

 private:
  Error fail(const std::string& what) const {
    return {Fault::bad_data, fmt::format("{}:{}: {}", trace_.name, line_number_, what)};
  }

  std::optional<std::string_view> next_line() {
    if (rest_.empty()) return std::nullopt;
    const std::size_t end = rest_.find('\n');
    std::string_view line = rest_.substr(0, end);
    rest_.remove_prefix(end == std::string_view::npos ? rest_.size() : end + 1);
    if (line.ends_with('\r')) line.remove_suffix(1);
    ++line_number_;
    return line;
  }

  Result<void> read_header() {
    while (const auto line = next_line()) {
      if (line->starts_with('#')) {
        trace_.comments.emplace_back(trimmed(line->substr(1)));
      } else if (!trimmed(*line).empty()) {
        return take_header(*line);
      }
    }
    line_number_ = std::max<std::size_t>(line_number_, 1);
    return fail("the file is empty; expected a header such as time_s,cup_degC");
  }

  Result<void> take_header(std::string_view line) {
    const auto cells = split_cells(line);
    if (!cells || trimmed(cells->front()) != "time_s") {
      return fail(fmt::format("the header is missing: expected time_s,cup_degC, found \"{}\"",
                              line.substr(0, 60)));
    }
    for (std::size_t i = 1; i < cells->size(); ++i) {
      if (auto taken = take_name(trimmed((*cells)[i]), i + 1); !taken) return taken;
    }
    if (std::find(trace_.roles.begin(), trace_.roles.end(), ProbeRole::cup) == trace_.roles.end()) {
      return fail("the header names no cup_degC; the cup's probe is needed");
    }
    return {};
  }

  /// A column of the header.
  Result<void> take_name(std::string_view name, std::size_t column) {
    const std::size_t end = name.find('_');
    const auto role = role_from_name(name.substr(0, end));
    const std::string_view what = end == name.npos ? "" : name.substr(end + 1);
    const bool is_raw = what.starts_with(raw_column_lead) && what.size() > raw_column_lead.size();
    if (!role || (what != "degC" && !is_raw)) {
      return fail(
          fmt::format("column {}: \"{}\" is not known; expected cup_degC, added_degC or "
                      "room_degC",
                      column, name));
    }
    if (is_raw) return take_raw_name(*role, what.substr(raw_column_lead.size()), name, column);
    if (place_of(*role)) return fail(fmt::format("column {}: \"{}\" comes twice", column, name));
    trace_.roles.push_back(*role);
    trace_.raw_units.emplace_back();
    columns_.push_back({trace_.roles.size() - 1, false});
    return {};
  }

  Result<void> take_raw_name(ProbeRole role, std::string_view unit, std::string_view name,
                             std::size_t column) {
    const auto place = place_of(role);
    if (!place) {
      return fail(fmt::format("column {}: \"{}\" is expected behind {}_degC", column, name,
                              role_name(role)));
    }
    if (trace_.raw_units[*place]) {
      return fail(fmt::format("column {}: \"{}\" is a second raw column of {}", column, name,
                              role_name(role)));
    }
    trace_.raw_units[*place] = std::string(unit);
    columns_.push_back({*place, true});
    return {};
  }

  [[nodiscard]] std::optional<std::size_t> place_of(ProbeRole role) const {
    const auto found = std::find(trace_.roles.begin(), trace_.roles.end(), role);
    if (found == trace_.roles.end()) return std::nullopt;
    return static_cast<std::size_t>(found - trace_.roles.begin());
  }

  Result<void> read_row(std::string_view line) {
    const auto cells = split_cells(line);
    if (!cells) return fail("a quoted cell does not end");
    if (cells->size() != columns_.size() + 1) {
      return fail(
          fmt::format("{} cells, but the header has {}; decimal point and comma as the "
                      "separator are expected",
                      cells->size(), columns_.size() + 1));
    }
    const auto time_s = parse_number(trimmed(cells->front()));
    if (!time_s || std::abs(*time_s) > longest_s) {
      return fail(fmt::format("time_s: \"{}\" is not a time in seconds", cells->front()));
    }
    const TimeUs time_us = to_us(*time_s);
    if (last_us_ && time_us <= *last_us_) {
      return fail(fmt::format("time_s: {} does not come after {}; times must rise", cells->front(),
                              number_text(to_s(*last_us_))));
    }
    last_us_ = time_us;
    const std::size_t row_begin = trace_.readings.size();
    for (std::size_t i = 0; i < columns_.size(); ++i) {
      const std::string_view cell = trimmed((*cells)[i + 1]);
      const Column& column = columns_[i];
      auto taken = column.is_raw ? take_raw(cell, column.probe, row_begin)
                                 : take_temperature(cell, column.probe, time_us);
      if (!taken) return taken;
    }
    return {};
  }

  Result<void> take_temperature(std::string_view cell, std::size_t probe, TimeUs time_us) {
    if (cell.empty()) return {};
    const auto value = parse_number(cell);
    if (!value || *value < lowest_degC || *value > highest_degC) {
      return fail(
          fmt::format("{}_degC: \"{}\" is not a temperature in degC (decimal point, no "
                      "unit; empty for no reading)",
                      role_name(trace_.roles[probe]), cell));
    }
    trace_.readings.push_back({static_cast<std::uint16_t>(probe), time_us, *value, *value});
    return {};
  }

  /// Puts the raw quantity to the reading of the same row.
  Result<void> take_raw(std::string_view cell, std::size_t probe, std::size_t row_begin) {
    if (cell.empty()) return {};
    const auto value = parse_number(cell);
    const auto reading = std::find_if(
        trace_.readings.begin() + static_cast<std::ptrdiff_t>(row_begin), trace_.readings.end(),
        [probe](const Reading& candidate) { return candidate.probe == probe; });
    if (!value || reading == trace_.readings.end()) {
      return fail(fmt::format("{}_raw_{}: \"{}\" is not a number beside a temperature",
                              role_name(trace_.roles[probe]), *trace_.raw_units[probe], cell));
    }
    reading->raw = *value;
    return {};
  }

  /// A column of numbers: of which probe, and whether the raw quantity.
  struct Column {
    std::size_t probe = 0;
    bool is_raw = false;
  };

  std::string_view rest_;
  std::size_t line_number_ = 0;
  std::optional<TimeUs> last_us_;
  std::vector<Column> columns_;
  Trace trace_;
};

}  // namespace

Result<Trace> parse_trace(std::string_view text, const std::string& name) {
  return Reader(text, name).read();
}

Result<Trace> read_trace(const std::string& path) {
  if (path == "-") {
    const std::string text(std::istreambuf_iterator<char>(std::cin), {});
    return parse_trace(text, "-");
  }
  std::ifstream file(path, std::ios::binary);
  if (!file) return Error{Fault::no_input, fmt::format("{}: no such file, or not readable", path)};
  std::string text;
  try {
    text.assign(std::istreambuf_iterator<char>(file), {});
  } catch (const std::ios_base::failure&) {
    return Error{Fault::io, fmt::format("{}: reading failed; is it a file?", path)};
  }
  auto trace = parse_trace(text, path);
  if (trace) trace->name = path.substr(path.find_last_of('/') + 1);
  return trace;
}

}  // namespace nestcup
