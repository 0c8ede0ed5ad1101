#include "tools/calibrate/request.hpp"

#include <fmt/format.h>

#include <cmath>

#include "core/base/numbers.hpp"
#include "core/base/steam_point.hpp"

namespace nestcup {
namespace {

Result<double> number_of(const cli::Parsed& parsed, const char* name, double lowest,
                         double highest) {
  const auto number = parsed.number(name);
  if (!number) return number.error();
  const double value = number->value_or(lowest);
  if (*number && value >= lowest && value <= highest) return value;
  return Error{Fault::usage, fmt::format("option --{}: a number from {} to {} is expected", name,
                                         lowest, highest)};
}

Result<void> read_points(const cli::Parsed& parsed, CalibrateRequest& request) {
  if (parsed.flag("ice")) request.points.push_back(ice_point(request.u_mK));
  for (const std::string& text : parsed.texts("reference-degC")) {
    const auto degC = parse_number(text);
    if (!degC) {
      return Error{Fault::usage, fmt::format("option --reference-degC: \"{}\" is no number", text)};
    }
    const auto point = reference_point(*degC, request.u_mK);
    if (!point) return point.error();
    request.points.push_back(*point);
  }
  const bool pressure = parsed.flag("pressure-hPa");
  if (parsed.flag("steam") != pressure) {
    return Error{Fault::usage, pressure ? "option --pressure-hPa belongs to --steam"
                                        : "option --steam needs the air pressure at the bench "
                                          "(not reduced to sea level): --pressure-hPa 1009.2"};
  }
  if (!pressure) return {};
  const auto hPa = parsed.number("pressure-hPa");
  if (!hPa) return hPa.error();
  const auto point = steam_point(hPa->value_or(0.0), request.pressure_u_hPa, request.u_mK);
  if (!point) return point.error();
  request.points.push_back(*point);
  return {};
}

}  // namespace

std::string point_name(PointKind kind) {
  switch (kind) {
    case PointKind::ice:
      return "ice";
    case PointKind::reference:
      return "reference";
    case PointKind::steam:
      return "steam";
  }
  return "reference";
}

PlannedPoint ice_point(std::optional<double> u_mK) {
  return {PointKind::ice, 0.0, u_mK.value_or(5.0) * 1e-3};
}

Result<PlannedPoint> steam_point(double pressure_hPa, double pressure_u_hPa,
                                 std::optional<double> u_mK) {
  constexpr double lowest_hPa = 300.0, highest_hPa = 1100.0, vessel_u_K = 0.02;
  if (!(pressure_hPa >= lowest_hPa && pressure_hPa <= highest_hPa)) {
    return Error{Fault::usage, fmt::format("option --pressure-hPa: {} is no air pressure, expected "
                                           "{} to {} hPa",
                                           pressure_hPa, lowest_hPa, highest_hPa)};
  }
  const auto at = [](double hPa) { return steam_point_degC(100.0 * hPa).value_or(0.0); };
  const double per_hPa = at(pressure_hPa + 0.5) - at(pressure_hPa - 0.5);
  const double u_K = u_mK ? *u_mK * 1e-3 : std::hypot(per_hPa * pressure_u_hPa, vessel_u_K);
  return PlannedPoint{PointKind::steam, at(pressure_hPa), u_K};
}

Result<PlannedPoint> reference_point(double degC, std::optional<double> u_mK) {
  if (!(degC >= -100.0 && degC <= 400.0)) {
    return Error{Fault::usage,
                 fmt::format("option --reference-degC: {} is out of -100 to 400 degC", degC)};
  }
  return PlannedPoint{PointKind::reference, degC, u_mK.value_or(50.0) * 1e-3};
}

Result<CalibrateRequest> read_calibrate_request(const cli::Parsed& parsed) {
  CalibrateRequest request;
  request.probe = parsed.text("PROBE").value_or("");
  if (request.probe.empty()) {
    return Error{Fault::usage, "name the probe, as the bench file does: nestcup calibrate cup"};
  }
  request.note = parsed.text("note").value_or("");
  request.ask = !parsed.flag("yes");
  const auto average_s = number_of(parsed, "average-s", 5.0, 900.0);
  if (!average_s) return average_s.error();
  request.average_s = *average_s;
  const auto patience_s = number_of(parsed, "patience-s", 10.0, 86400.0);
  if (!patience_s) return patience_s.error();
  request.patience_s = *patience_s;
  const auto pressure_u_hPa = number_of(parsed, "u-pressure-hPa", 0.0, 50.0);
  if (!pressure_u_hPa) return pressure_u_hPa.error();
  request.pressure_u_hPa = *pressure_u_hPa;
  if (parsed.flag("u-mK")) {
    const auto u_mK = number_of(parsed, "u-mK", 0.1, 5000.0);
    if (!u_mK) return u_mK.error();
    request.u_mK = *u_mK;
  }
  if (parsed.flag("offset") && parsed.flag("line")) {
    return Error{Fault::usage, "--offset and --line together: give one of them"};
  }
  if (parsed.flag("offset")) request.kind = "offset";
  if (parsed.flag("line")) request.kind = "line";
  if (auto read = read_points(parsed, request); !read) return read.error();
  return request;
}

}  // namespace nestcup
