#include "tools/run_drawing.hpp"

#include <fmt/format.h>

namespace nestcup {
namespace {

constexpr double line_step_s = 5.0;

/// A fitted course as a polyline; it bends little, so that few corners do.
template <class Course>
std::vector<ChartPoint> polyline(double from_s, double to_s, const Course& course) {
  std::vector<ChartPoint> points;
  for (double time_s = from_s; time_s < to_s; time_s += line_step_s) {
    points.push_back({time_s, course(time_s)});
  }
  points.push_back({to_s, course(to_s)});
  return points;
}

std::vector<ChartPoint> chart_points(const Curve& curve) {
  std::vector<ChartPoint> points;
  for (const Point& point : curve) points.push_back({point.time_s, point.temperature_degC});
  return points;
}

ChartSpan span(const Period& period) {
  return {period.start_s, period.end_s};
}

}  // namespace

RunChart run_chart(const ReplayedRun& run, const std::string& title) {
  const RunAnalysis& analysis = run.made.analysis;
  const Json& record = run.made.record;
  std::vector<ProbeRole> roles;
  for (const Json& probe : record.at("probes")) {
    roles.push_back(role_from_name(probe.at("role").get<std::string>()).value_or(ProbeRole::cup));
  }
  const RunInput input = run_input(run.run, roles);
  RunChart chart;
  chart.title = title;
  if (record.at("started_at").is_string()) {
    chart.subtitles.push_back("started " + record["started_at"].get<std::string>());
  }
  chart.cup = chart_points(input.cup);
  chart.fore = span(analysis.fore);
  chart.main = span(analysis.main);
  chart.after = span(analysis.after);
  chart.mixing_time_s = analysis.mixing_time_s.value;
  if (!analysis.usable() || !analysis.leak) return chart;
  chart.subtitles.push_back(analysis.rise.method);
  const HeatLeak& leak = *analysis.leak;
  chart.equal_area_time_s = analysis.equal_area_s;
  chart.fore_line = polyline(analysis.fore.start_s, analysis.equal_area_s,
                             [&](double time_s) { return leak.fore_at(time_s); });
  chart.after_line = polyline(analysis.equal_area_s, analysis.after.end_s,
                              [&](double time_s) { return leak.after_at(time_s); });
  chart.corrected_rise_K = Uncertain{analysis.rise.value_K, analysis.rise.u_K, analysis.rise.dof};
  return chart;
}

}  // namespace nestcup
