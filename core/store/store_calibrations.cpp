// What a store knows of its probes' calibrations.
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <utility>

#include "core/store/store_inner.hpp"

namespace nestcup {

namespace {

using Kind = StoredCalibration::Kind;

constexpr std::int64_t first_version_with_calibrations = 2;

void take_word(std::string_view word, StoredCalibration& row) {
  if (const auto kind = calibration_kind_named(word)) {
    row.kind = Kind::correction;
    row.calibration.kind = *kind;
    return;
  }
  row.kind = word == "again"           ? Kind::again
             : word == "difference"    ? Kind::difference
             : word == "time constant" ? Kind::time_constant
                                       : Kind::none;
}

bool is_finite(const StoredCalibration& row) {
  const Calibration& c = row.calibration;
  const std::array<double, 8> numbers{c.reference_degC, c.offset_K, c.slope,
                                      c.u_offset_K,     c.u_slope,  c.covariance_K,
                                      row.value.value,  row.value.u};
  return std::all_of(numbers.begin(), numbers.end(), [](double x) { return std::isfinite(x); });
}

StoredCalibration row_of(const Statement& from) {
  StoredCalibration row;
  row.number = static_cast<int>(from.whole(0));
  row.probe = from.text(1);
  row.wall_us = from.whole(2);
  take_word(from.text(3), row);
  Calibration& c = row.calibration;
  int column = 4;
  for (double* number :
       {&c.reference_degC, &c.offset_K, &c.slope, &c.u_offset_K, &c.u_slope, &c.covariance_K}) {
    if (!from.is_null(column)) *number = from.number(column);
    ++column;
  }
  if (!from.is_null(10)) row.other = from.text(10);
  if (!from.is_null(11)) row.value = {from.number(11), from.number(12), std::nullopt};
  if (!from.is_null(13)) row.again = static_cast<int>(from.whole(13));
  row.points_json = from.text(14);
  row.who = from.text(15);
  row.note = from.text(16);
  return row;
}

Result<void> insert(const Database& database, const StoredCalibration& row) {
  auto statement = database.prepare(
      "INSERT INTO calibration (probe, wall_us, kind, reference_degC, offset_K, slope, u_offset_K, "
      "u_slope, covariance_K, other, value, u_value, again, points_json, who, note) "
      "VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)");
  if (!statement) return statement.error();
  statement->bind(1, row.probe).bind(2, row.wall_us).bind(3, calibration_word(row));
  for (int parameter = 4; parameter <= 13; ++parameter) statement->bind_null(parameter);
  if (row.kind == Kind::correction) {
    const Calibration& c = row.calibration;
    statement->bind(4, c.reference_degC).bind(5, c.offset_K).bind(6, c.slope);
    statement->bind(7, c.u_offset_K).bind(8, c.u_slope).bind(9, c.covariance_K);
  }
  if (row.other) statement->bind(10, *row.other);
  if (row.kind == Kind::difference || row.kind == Kind::time_constant) {
    statement->bind(11, row.value.value).bind(12, row.value.u);
  }
  if (row.again) statement->bind(13, std::int64_t{*row.again});
  statement->bind(14, row.points_json).bind(15, row.who).bind(16, row.note);
  return statement->run();
}

const StoredCalibration* numbered(const std::vector<StoredCalibration>& rows, int number) {
  const auto at = std::find_if(rows.begin(), rows.end(),
                               [&](const StoredCalibration& row) { return row.number == number; });
  return at == rows.end() ? nullptr : &*at;
}

}  // namespace

std::string_view calibration_word(const StoredCalibration& row) {
  switch (row.kind) {
    case Kind::correction:
      return calibration_kind_name(row.calibration.kind);
    case Kind::none:
      return "none";
    case Kind::again:
      return "again";
    case Kind::difference:
      return "difference";
    case Kind::time_constant:
      return "time constant";
  }
  return "none";
}

Result<std::vector<StoredCalibration>> Store::calibrations(
    const std::optional<std::string>& probe) const {
  const auto there = inner_->has_tables_of(first_version_with_calibrations);
  if (!there) return there.error();
  std::vector<StoredCalibration> rows;
  if (!*there) return rows;
  auto statement = inner_->prepare(
      "SELECT number, probe, wall_us, kind, reference_degC, offset_K, slope, u_offset_K, u_slope, "
      "covariance_K, other, value, u_value, again, points_json, who, note FROM calibration "
      "WHERE probe = ?1 OR ?1 IS NULL ORDER BY number");
  if (!statement) return statement.error();
  if (probe) statement->bind(1, *probe);
  if (!probe) statement->bind_null(1);
  for (auto row = statement->step();; row = statement->step()) {
    if (!row) return row.error();
    if (!*row) return rows;
    rows.push_back(row_of(*statement));
  }
}

HeldCalibration held_after(const std::vector<StoredCalibration>& rows, const std::string& probe) {
  HeldCalibration held;
  for (const StoredCalibration& row : rows) {
    if (row.probe != probe) continue;
    if (row.kind == Kind::correction) held.correction = row;
    if (row.kind == Kind::none) held.correction.reset();
    if (row.kind == Kind::time_constant) held.time_constant = row;
    if (row.kind != Kind::again || !row.again) continue;
    if (const StoredCalibration* older = numbered(rows, *row.again)) held.correction = *older;
  }
  return held;
}

Result<HeldCalibration> Store::held_calibration(const std::string& probe) const {
  const auto rows = calibrations(probe);
  if (!rows) return rows.error();
  return held_after(*rows, probe);
}

Result<int> Store::add_calibration(const StoredCalibration& row) {
  const auto database = inner_->writable();
  if (!database) return database.error();
  if (!is_finite(row)) {
    return Error{Fault::bad_data,
                 fmt::format("{}: a calibration of probe \"{}\" with a number that "
                             "is not finite",
                             path(), row.probe)};
  }
  int number = 0;
  const auto done = (*database)->in_transaction([&]() -> Result<void> {
    if (row.kind == Kind::again) {
      const auto rows = calibrations(row.probe);
      if (!rows) return rows.error();
      const StoredCalibration* older = row.again ? numbered(*rows, *row.again) : nullptr;
      if (!older || older->kind != Kind::correction) {
        return Error{Fault::no_input,
                     fmt::format("{}: probe \"{}\" has no calibration number {}; see nestcup "
                                 "calibrate --list",
                                 path(), row.probe, row.again.value_or(0))};
      }
    }
    if (auto inserted = insert(**database, row); !inserted) return inserted;
    const auto last = (*database)->whole_answer("SELECT last_insert_rowid()");
    if (!last) return last.error();
    number = static_cast<int>(*last);
    return {};
  });
  if (!done) return done.error();
  return number;
}

}  // namespace nestcup
