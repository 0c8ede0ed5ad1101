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
      const std::string_view name = trimmed((*cells)[i]);
      const bool in_degC = name.ends_with("_degC");
      const auto role = role_from_name(in_degC ? name.substr(0, name.size() - 5) : "");
      if (!role) {
        return fail(
            fmt::format("column {}: \"{}\" is not known; expected cup_degC, added_degC or "
                        "room_degC",
                        i + 1, name));
      }
      if (std::find(trace_.roles.begin(), trace_.roles.end(), *role) != trace_.roles.end()) {
        return fail(fmt::format("column {}: \"{}\" comes twice", i + 1, name));
      }
      trace_.roles.push_back(*role);
    }
    if (std::find(trace_.roles.begin(), trace_.roles.end(), ProbeRole::cup) == trace_.roles.end()) {
      return fail("the header names no cup_degC; the cup's probe is needed");
    }
    return {};
  }

  Result<void> read_row(std::string_view line) {
    const auto cells = split_cells(line);
    if (!cells) return fail("a quoted cell does not end");
    if (cells->size() != trace_.roles.size() + 1) {
      return fail(
          fmt::format("{} cells, but the header has {}; decimal point and comma as the "
                      "separator are expected",
                      cells->size(), trace_.roles.size() + 1));
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
    for (std::size_t i = 0; i < trace_.roles.size(); ++i) {
      if (auto taken = take_cell(trimmed((*cells)[i + 1]), i, time_us); !taken) return taken;
    }
    return {};
  }

  Result<void> take_cell(std::string_view cell, std::size_t column, TimeUs time_us) {
    if (cell.empty()) return {};
    const auto value = parse_number(cell);
    if (!value || *value < lowest_degC || *value > highest_degC) {
      return fail(
          fmt::format("{}_degC: \"{}\" is not a temperature in degC (decimal point, no "
                      "unit; empty for no reading)",
                      role_name(trace_.roles[column]), cell));
    }
    trace_.readings.push_back({static_cast<std::uint16_t>(column), time_us, *value, *value});
    return {};
  }

  std::string_view rest_;
  std::size_t line_number_ = 0;
  std::optional<TimeUs> last_us_;
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

std::string trace_text(std::span<const Reading> readings, const std::vector<ProbeRole>& roles,
                       TimeUs origin_us) {
  std::string text = "time_s";
  for (const ProbeRole role : roles) text += fmt::format(",{}_degC", role_name(role));
  text += '\n';
  std::vector<std::string> cells(roles.size());
  for (std::size_t i = 0; i < readings.size();) {
    const TimeUs time_us = readings[i].time_us;
    std::fill(cells.begin(), cells.end(), std::string());
    for (; i < readings.size() && readings[i].time_us == time_us; ++i) {
      cells[readings[i].probe] = number_text(readings[i].temperature_degC);
    }
    text += number_text(to_s(time_us - origin_us));
    for (const std::string& cell : cells) text += ',' + cell;
    text += '\n';
  }
  return text;
}

}  // namespace nestcup
