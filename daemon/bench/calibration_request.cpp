#include "daemon/bench/calibration_request.hpp"

#include <fmt/format.h>

#include <cmath>

#include "daemon/bench/calibrations.hpp"

namespace nestcup::daemon {
namespace {

using RequestJson = nlohmann::json;
using Kind = StoredCalibration::Kind;

Result<double> number_in(const RequestJson& body, const char* key, double lowest = -300.0) {
  const auto found = body.find(key);
  constexpr double highest = 1e5;
  const bool fits = found != body.end() && found->is_number() && found->get<double>() >= lowest &&
                    found->get<double>() <= highest;
  if (fits) return found->get<double>();
  return Error{Fault::usage,
               fmt::format("{}: a number from {} to {} is expected", key, lowest, highest)};
}

std::string text_in(const RequestJson& body, const char* key) {
  const auto found = body.find(key);
  return found != body.end() && found->is_string() ? found->get<std::string>() : "";
}

Result<const ProbeSettings*> probe_in(const RequestJson& body, const char* key,
                                      const BenchFile& file) {
  const std::string name = text_in(body, key);
  std::string known;
  for (const ProbeSettings& probe : file.probes) {
    if (probe.name == name) return &probe;
    known += (known.empty() ? "" : ", ") + probe.name;
  }
  return Error{Fault::no_input,
               fmt::format("this bench has no probe \"{}\"; it has: {}", name, known)};
}

double slope_u_bought(const ProbeSettings& probe) {
  return probe.tolerance_K ? slope_u_of_tolerance(*probe.tolerance_K) : 0.0;
}

Result<CalibrationPoint> point_in(const RequestJson& body) {
  CalibrationPoint point;
  const auto true_degC = number_in(body, "true_degC"),
             reading_degC = number_in(body, "reading_degC");
  const auto u_true_K = number_in(body, "u_true_K", 0.0);
  const auto u_reading_K = number_in(body, "u_reading_K", 0.0);
  for (const auto* part : {&true_degC, &reading_degC, &u_true_K, &u_reading_K}) {
    if (!*part) return part->error();
  }
  return CalibrationPoint{*true_degC, *u_true_K, *reading_degC, *u_reading_K,
                          text_in(body, "source")};
}

Result<CalibrationRequest> by_points(const RequestJson& body, const ProbeSettings& probe,
                                     StoredCalibration row) {
  const auto list = body.find("points");
  if (list == body.end() || !list->is_array()) {
    return Error{Fault::usage, "points: a list of points is expected"};
  }
  std::vector<CalibrationPoint> points;
  for (const RequestJson& entry : *list) {
    const auto point = point_in(entry);
    if (!point) return point.error();
    points.push_back(*point);
  }
  const auto asked = calibration_kind_named(text_in(body, "kind"));
  const auto fit =
      fit_calibration(points, asked.value_or(usual_kind(points)), slope_u_bought(probe));
  if (!fit) return fit.error();
  row.calibration = fit->calibration;
  row.points_json = list->dump();
  return CalibrationRequest{{std::move(row)}, *fit, false};
}

/// The correction of `target` that lets it agree with `against`, from what both show.
/// @param shift_K  to be added to the target's corrected temperature
StoredCalibration agreeing(const StoredCalibration& row, const ProbeSettings& target,
                           const ProbeSettings& against, double target_shown_degC, double shift_K,
                           double u_K, const std::vector<StoredCalibration>& rows) {
  StoredCalibration out = row;
  out.kind = Kind::correction;
  out.probe = target.name;
  out.other = against.name;
  out.value = {};
  const auto held = held_after(rows, target.name).correction;
  Calibration& c = out.calibration;
  if (held) c = held->calibration;
  if (!held) c = {CalibrationKind::offset, target_shown_degC, 0, 0, 0, slope_u_bought(target), 0};
  c.offset_K += shift_K;
  c.u_offset_K = u_K;
  c.covariance_K = 0.0;
  return out;
}

/// Standard uncertainty of what a probe shows, corrected: from its calibration, else its tolerance.
double u_of_shown_K(const ProbeSettings& probe, double shown_degC,
                    const std::optional<StoredCalibration>& held) {
  if (held) return held->calibration.u_at_K(shown_degC);
  return probe.tolerance_K.value_or(0.0) / std::sqrt(3.0);
}

Result<CalibrationRequest> by_difference(const RequestJson& body, const ProbeSettings& probe,
                                         const ProbeSettings& other, StoredCalibration row,
                                         const std::vector<StoredCalibration>& rows) {
  const auto shown = number_in(body, "reading_degC"),
             beside = number_in(body, "other_reading_degC");
  const auto u_K = number_in(body, "u_difference_K", 0.0);
  for (const auto* part : {&shown, &beside, &u_K}) {
    if (!*part) return part->error();
  }
  const auto held = held_after(rows, probe.name).correction;
  const auto held_other = held_after(rows, other.name).correction;
  const auto corrected = [](const auto& calibration, double degC) {
    return calibration ? calibration->calibration.corrected_degC(degC) : degC;
  };
  const double other_degC = corrected(held_other, *beside);
  row.kind = Kind::difference;
  row.other = other.name;
  row.value = {corrected(held, *shown) - other_degC, *u_K, std::nullopt};
  row.points_json = RequestJson::array({{{"true_degC", other_degC},
                                         {"reading_degC", *shown},
                                         {"other_reading_degC", *beside},
                                         {"u_reading_K", *u_K},
                                         {"source", other.name}}})
                        .dump();
  CalibrationRequest request{{row}, std::nullopt, false};
  if (!body.value("apply", RequestJson(false)).is_boolean() || !body.value("apply", false))
    return request;
  // The cup's probe gives the rise: it stays as it is.
  const bool turned = probe.role == ProbeRole::cup && other.role == ProbeRole::added;
  const ProbeSettings& against = turned ? probe : other;
  const double u_against_K =
      turned ? u_of_shown_K(probe, *shown, held) : u_of_shown_K(other, *beside, held_other);
  request.rows.push_back(agreeing(row, turned ? other : probe, against, turned ? *beside : *shown,
                                  turned ? row.value.value : -row.value.value,
                                  std::hypot(*u_K, u_against_K), rows));
  return request;
}

Result<CalibrationRequest> by_plunge(const RequestJson& body, StoredCalibration row) {
  const auto value_s = number_in(body, "value_s", 0.0), u_s = number_in(body, "u_s", 0.0);
  if (!value_s) return value_s.error();
  if (!u_s) return u_s.error();
  row.kind = Kind::time_constant;
  row.value = {*value_s, *u_s, std::nullopt};
  return CalibrationRequest{{std::move(row)}, std::nullopt, false};
}

Result<CalibrationRequest> taken_back(const RequestJson& body, StoredCalibration row,
                                      const std::vector<StoredCalibration>& rows) {
  if (const auto number = body.find("number"); number != body.end()) {
    if (!number->is_number_integer()) {
      return Error{Fault::usage, "number: the number of a calibration is expected"};
    }
    row.kind = Kind::again;
    row.again = number->get<int>();
    return CalibrationRequest{{std::move(row)}, std::nullopt, false};
  }
  const auto undo = undo_of(rows, row.probe);
  if (!undo) {
    return Error{Fault::no_input,
                 fmt::format("probe {} was never calibrated; nothing to take back", row.probe)};
  }
  row.kind = undo->kind;
  row.again = undo->again;
  return CalibrationRequest{{std::move(row)}, std::nullopt, false};
}

/// By the kind that is asked.
Result<CalibrationRequest> read_by_kind(const RequestJson& body, const BenchFile& file,
                                        const std::vector<StoredCalibration>& rows) {
  const auto probe = probe_in(body, "probe", file);
  if (!probe) return probe.error();
  StoredCalibration row;
  row.probe = (*probe)->name;
  row.note = text_in(body, "note");
  const std::string kind = text_in(body, "kind");
  if (kind == "auto" || calibration_kind_named(kind)) return by_points(body, **probe, row);
  if (kind == "time constant") return by_plunge(body, row);
  if (kind == "again") return taken_back(body, row, rows);
  if (kind == "none") {
    row.kind = Kind::none;
    return CalibrationRequest{{row}, std::nullopt, false};
  }
  if (kind != "difference") {
    return Error{Fault::usage,
                 "kind: auto, offset, line, difference, time constant, again or none "
                 "is expected"};
  }
  const auto other = probe_in(body, "other", file);
  if (!other) return other.error();
  if (*other == *probe) return Error{Fault::usage, "other: another probe is expected"};
  return by_difference(body, **probe, **other, row, rows);
}

}  // namespace

Result<CalibrationRequest> read_calibration_request(const RequestJson& body, const BenchFile& file,
                                                    const std::vector<StoredCalibration>& rows) {
  auto request = read_by_kind(body, file, rows);
  if (!request) return request;
  const auto drop = body.find("drop_run");
  request->drop_run = drop != body.end() && drop->is_boolean() && drop->get<bool>();
  return request;
}

}  // namespace nestcup::daemon
