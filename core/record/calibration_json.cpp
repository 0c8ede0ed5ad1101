#include "core/record/calibration_json.hpp"

#include <algorithm>

#include "core/base/time_text.hpp"

namespace nestcup {
namespace {

using Json = nlohmann::ordered_json;
using Kind = StoredCalibration::Kind;

Json quantity(double value, double u) {
  return Json{{"value", value}, {"u", u}};
}

Json parsed(const std::string& text) {
  Json json = Json::parse(text, nullptr, false);
  return json.is_array() ? json : Json::array();
}

void add_correction(const Calibration& calibration, Json& json) {
  json["reference_degC"] = calibration.reference_degC;
  json["offset_K"] = quantity(calibration.offset_K, calibration.u_offset_K);
  json["slope_K_per_K"] = quantity(calibration.slope, calibration.u_slope);
  json["covariance_K"] = calibration.covariance_K;
}

/// Lowest and highest of the points, by their true temperature.
void add_range(const Json& points, Json& json) {
  json["points"] = points.size();
  std::optional<double> low, high;
  for (const Json& point : points) {
    if (!point.is_object() || !point.value("true_degC", Json()).is_number()) continue;
    const double degC = point["true_degC"].get<double>();
    low = std::min(degC, low.value_or(degC));
    high = std::max(degC, high.value_or(degC));
  }
  json["from_degC"] = low ? Json(*low) : Json(nullptr);
  json["to_degC"] = high ? Json(*high) : Json(nullptr);
}

}  // namespace

Json calibration_json(const StoredCalibration& correction, double valid_days) {
  Json json{{"number", correction.number},
            {"kind", calibration_word(correction)},
            {"at", rfc3339(correction.wall_us)}};
  add_correction(correction.calibration, json);
  add_range(parsed(correction.points_json), json);
  json["against"] = correction.other ? Json(*correction.other) : Json(nullptr);
  json["valid_days"] = valid_days;
  return json;
}

Json stored_calibration_json(const StoredCalibration& row) {
  Json json{{"number", row.number},
            {"probe", row.probe},
            {"kind", calibration_word(row)},
            {"at", rfc3339(row.wall_us)}};
  if (row.kind == Kind::correction) add_correction(row.calibration, json);
  if (row.kind == Kind::difference) json["difference_K"] = quantity(row.value.value, row.value.u);
  if (row.kind == Kind::time_constant) {
    json["time_constant_s"] = quantity(row.value.value, row.value.u);
  }
  if (row.other) json["against"] = *row.other;
  if (row.again) json["again"] = *row.again;
  json["points"] = parsed(row.points_json);
  json["who"] = row.who;
  json["note"] = row.note;
  return json;
}

std::optional<Calibration> calibration_in(const Json& probe) {
  const auto found = probe.find("calibration");
  if (found == probe.end() || !found->is_object()) return std::nullopt;
  try {
    const auto kind = calibration_kind_named(found->at("kind").get<std::string>());
    if (!kind) return std::nullopt;
    const Json &offset = found->at("offset_K"), &slope = found->at("slope_K_per_K");
    return Calibration{*kind,
                       found->at("reference_degC").get<double>(),
                       offset.at("value").get<double>(),
                       slope.at("value").get<double>(),
                       offset.at("u").get<double>(),
                       slope.at("u").get<double>(),
                       found->at("covariance_K").get<double>()};
  } catch (const nlohmann::json::exception&) {
    return std::nullopt;
  }
}

std::optional<CalibrationAge> oldest_calibration(const Json& probes, TimeUs started_wall_us) {
  constexpr double day_s = 86400.0;
  const auto started_us = parse_rfc3339(rfc3339(started_wall_us));
  std::optional<CalibrationAge> oldest;
  for (const Json& probe : probes) {
    if (probe.value("role", "") == role_name(ProbeRole::room) || !calibration_in(probe)) continue;
    const Json& calibration = probe.at("calibration");
    const Json at = calibration.value("at", Json()),
               valid = calibration.value("valid_days", Json());
    if (!at.is_string() || !valid.is_number() || !started_us) continue;
    const auto made_us = parse_rfc3339(at.get<std::string>());
    if (!made_us) continue;
    const double age_days = to_s(*started_us - *made_us) / day_s;
    const auto over = [](const CalibrationAge& age) { return age.age_days - age.valid_days; };
    const CalibrationAge age{age_days, valid.get<double>()};
    if (!oldest || over(age) > over(*oldest)) oldest = age;
  }
  return oldest;
}

}  // namespace nestcup
