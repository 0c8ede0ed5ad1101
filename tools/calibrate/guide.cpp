#include "tools/calibrate/guide.hpp"

#include <fmt/format.h>

#include <cmath>
#include <istream>
#include <limits>
#include <ostream>

#include "core/base/numbers.hpp"

namespace nestcup {
namespace {

constexpr const char* hot_water =
    "Hot water and steam scald and hot glass breaks: wear eye protection and keep clear of the "
    "steam; the local rules and the responsible teacher decide.";

std::string mean_text(const std::string& probe, const SteadyMean& mean) {
  return fmt::format(
      "{}: mean {:.4f} degC, u {:.1f} mK, scatter {:.1f} mK, drift {:+.1f} mK/min, "
      "{} readings in {:.0f} s",
      probe, mean.mean_degC, 1e3 * mean.u_K, 1e3 * mean.sd_K, 1e3 * mean.drift_K_per_min,
      mean.count, mean.span_s);
}

Result<MeasuredPoint> measure(const ProbeTalk& probe, const CalibrateRequest& request,
                              const PlannedPoint& planned,
                              const std::optional<double>& shown_before, cli::Streams& streams) {
  sayer(streams)(instruction(planned, probe.name()));
  if (request.ask) {
    const auto answer = asked(streams, "Press Enter when it stands there: ");
    if (!answer) return answer.error();
  }
  const auto steady = probe.wait_steady(request.patience_s, shown_before);
  if (!steady) return steady.error();
  TimeUs origin_us = 0;
  const auto curve = probe.collect(request.average_s, origin_us);
  if (!curve) return curve.error();
  const MeasuredPoint point{planned, steady_mean(*curve)};
  sayer(streams)(mean_text(probe.name(), point.shown));
  return point;
}

/// "ice", "steam 1009.2", "25.04" or nothing more.
Result<std::optional<PlannedPoint>> next_point(const CalibrateRequest& request,
                                               cli::Streams& streams) {
  const auto answer = asked(streams,
                            "Next point: ice, steam PRESSURE_hPa, what the reference thermometer "
                            "shows in degC, or an empty line to end: ");
  if (!answer) return answer.error();
  const std::string text(trimmed(*answer));
  if (text.empty()) return std::optional<PlannedPoint>();
  if (text == "ice") return std::optional(ice_point(request.u_mK));
  const bool steam = text.starts_with("steam");
  const auto number = parse_number(trimmed(steam ? std::string_view(text).substr(5) : text));
  if (!number) {
    return Error{Fault::usage, fmt::format("\"{}\" is no point, expected ice, steam 1009.2, a "
                                           "temperature in degC or an empty line",
                                           text)};
  }
  const auto point = steam ? steam_point(*number, request.pressure_u_hPa, request.u_mK)
                           : reference_point(*number, request.u_mK);
  if (!point) return point.error();
  return std::optional(*point);
}

}  // namespace

std::string instruction(const PlannedPoint& point, const std::string& probe) {
  switch (point.kind) {
    case PointKind::ice:
      return fmt::format(
          "Ice point: put probe {} into the middle of crushed ice that is filled up "
          "with pure water and stirred; ice must reach below the probe. Dry the "
          "floor of what drips.",
          probe);
    case PointKind::steam:
      return fmt::format(
          "Steam point, {:.3f} degC: hold probe {} in the steam over gently boiling "
          "water, not in the water, in a vessel that is open to the air. {}",
          point.true_degC, probe, hot_water);
    case PointKind::reference:
      return fmt::format(
          "Reference point, {:.3f} degC: put probe {} beside the reference "
          "thermometer into stirred water.{}{}",
          point.true_degC, probe, point.true_degC > 45.0 ? " " : "",
          point.true_degC > 45.0 ? hot_water : "");
  }
  return "";
}

ProbeTalk::Say sayer(cli::Streams& streams) {
  return [&streams](const std::string& line) {
    streams.err << streams.program << ": " << line << '\n';
    streams.err.flush();
  };
}

Result<std::string> asked(cli::Streams& streams, const std::string& question) {
  streams.err << question;
  streams.err.flush();
  std::string line;
  if (std::getline(streams.in, line)) return line;
  return Error{Fault::usage,
               "no answer on standard input; give the points as options and --yes, "
               "then nothing is asked"};
}

Result<std::vector<MeasuredPoint>> measure_points(const BenchFile& bench,
                                                  const CalibrateRequest& request,
                                                  cli::Streams& streams) {
  const auto probe = ProbeTalk::find(bench, request.probe, sayer(streams));
  if (!probe) return probe.error();
  std::vector<MeasuredPoint> points;
  std::optional<double> shown_before;
  const bool guided = request.points.empty();
  for (std::size_t i = 0; guided || i < request.points.size(); ++i) {
    std::optional<PlannedPoint> planned;
    if (!guided) planned = request.points[i];
    if (guided) {
      const auto next = next_point(request, streams);
      if (!next) return next.error();
      planned = *next;
    }
    if (!planned) break;
    const auto point = measure(*probe, request, *planned, shown_before, streams);
    if (!point) return point.error();
    points.push_back(*point);
    const auto now = probe->now();
    if (!now) return now.error();
    shown_before = now->shown_degC;
  }
  if (!points.empty()) return points;
  return Error{Fault::usage, "no point was given; nothing is stored"};
}

Result<ComparedProbes> compare_probes(const BenchFile& bench, const CalibrateRequest& request,
                                      const std::string& other_name, cli::Streams& streams) {
  const auto probe = ProbeTalk::find(bench, request.probe, sayer(streams));
  if (!probe) return probe.error();
  const auto other = ProbeTalk::find(bench, other_name, sayer(streams));
  if (!other) return other.error();
  sayer(streams)(
      fmt::format("Put probes {} and {} close together into one vessel of stirred water.",
                  probe->name(), other->name()));
  if (request.ask) {
    if (const auto answer = asked(streams, "Press Enter when both stand there: "); !answer) {
      return answer.error();
    }
  }
  for (const ProbeTalk* waited : {&*probe, &*other}) {
    const auto steady = waited->wait_steady(request.patience_s, std::nullopt);
    if (!steady) return steady.error();
  }
  TimeUs origin_us = 0;
  const auto curve = probe->collect(request.average_s, origin_us);
  if (!curve) return curve.error();
  const auto beside = other->readings_after(origin_us, origin_us);
  if (!beside) return beside.error();
  Curve difference;
  std::size_t i = 1;
  for (const Point& point : *curve) {
    while (i < beside->curve.size() && beside->curve[i].time_s < point.time_s) ++i;
    if (i >= beside->curve.size()) break;
    if (beside->curve[i - 1].time_s > point.time_s) continue;
    const double other_degC =
        interpolated_degC(beside->curve[i - 1], beside->curve[i], point.time_s);
    difference.push_back({point.time_s, point.temperature_degC - other_degC});
  }
  if (difference.size() < 5) {
    return Error{Fault::try_later, fmt::format("probe {} gave too few readings; average longer "
                                               "(--average-s)",
                                               other->name())};
  }
  ComparedProbes out{steady_mean(*curve), steady_mean(beside->curve), steady_mean(difference)};
  out.difference.u_K =
      std::hypot(out.difference.u_K, out.probe.rounding_u_K, out.other.rounding_u_K);
  sayer(streams)(mean_text(probe->name(), out.probe));
  sayer(streams)(mean_text(other->name(), out.other));
  return out;
}

Result<Curve> watch_plunge(const BenchFile& bench, const CalibrateRequest& request,
                           cli::Streams& streams) {
  constexpr TimeUs before_us = 10 * us_per_s;
  constexpr TimeUs latest_us = std::numeric_limits<TimeUs>::max();
  const auto probe = ProbeTalk::find(bench, request.probe, sayer(streams));
  if (!probe) return probe.error();
  sayer(streams)(
      fmt::format("Plunge test: let probe {} come to rest in one vessel; stirred water "
                  "that is some 20 K warmer or colder stands beside it. {}",
                  probe->name(), hot_water));
  const auto rest = probe->wait_steady(request.patience_s, std::nullopt);
  if (!rest) return rest.error();
  const auto start = probe->readings_after(latest_us, 0);
  if (!start) return start.error();
  sayer(streams)("Now move it over in one go, keep it there and go on stirring.");
  const auto arrived = probe->wait_steady(request.patience_s, rest->shown_degC);
  if (!arrived) return arrived.error();
  auto shown = probe->readings_after(start->now_us - before_us, start->now_us);
  if (!shown) return shown.error();
  return std::move(shown->curve);
}

}  // namespace nestcup
