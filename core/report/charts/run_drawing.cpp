#include "core/report/charts/run_drawing.hpp"

#include <algorithm>
#include <iterator>
#include <optional>

namespace nestcup {
namespace {

constexpr double line_step_s = 5.0;

/// A fitted course as a polyline; it bends little, so that few corners do.
template <class Course>
std::vector<ChartPoint> polyline(double from_s, double to_s, double step_s, const Course& course) {
  std::vector<ChartPoint> points;
  for (double time_s = from_s; time_s < to_s; time_s += step_s) {
    points.push_back({time_s, course(time_s)});
  }
  points.push_back({to_s, course(to_s)});
  return points;
}

std::vector<ChartPoint> chart_points(CurveView curve) {
  std::vector<ChartPoint> points;
  for (const Point& point : curve) points.push_back({point.time_s, point.temperature_degC});
  return points;
}

bool same(const Point& a, const Point& b) {
  return a.time_s == b.time_s && a.temperature_degC == b.temperature_degC;
}

/// The readings without those that the analysis left out; both are in the order of time.
Curve used_readings(CurveView cup, CurveView left_out) {
  Curve used;
  for (const Point& point : cup) {
    if (!left_out.empty() && same(point, left_out.front())) {
      left_out = left_out.subspan(1);
    } else {
      used.push_back(point);
    }
  }
  return used;
}

ChartSpan span(const Period& period) {
  return {period.start_s, period.end_s};
}

/// What the fit says of a moment, degC; nothing where it says nothing: outside the periods, and in
/// the main period where there is no course.
class Fit {
 public:
  explicit Fit(const RunAnalysis& analysis) : analysis_(analysis) {
    if (analysis.course) course_.emplace(analysis.course->course());
  }

  [[nodiscard]] std::optional<double> at(double time_s) const {
    if (time_s < analysis_.fore.start_s || time_s > analysis_.after.end_s) return std::nullopt;
    if (course_) return course_->at(time_s);
    if (time_s < analysis_.main.start_s) return analysis_.leak->fore_at(time_s);
    if (time_s >= analysis_.main.end_s) return analysis_.leak->after_at(time_s);
    return std::nullopt;
  }

  /// Standard deviation of one reading about it, K.
  [[nodiscard]] double scatter_K() const {
    return course_ ? analysis_.course->noise.total_K() : analysis_.leak->sd_K;
  }

  /// The course in the main period; empty where there is none.
  [[nodiscard]] std::vector<ChartPoint> course() const {
    if (!course_) return {};
    constexpr double corners = 200.0;
    const Period& main = analysis_.main;
    const double step_s = std::max((main.end_s - main.start_s) / corners, least_step_s);
    return polyline(main.start_s, main.end_s, step_s,
                    [&](double time_s) { return course_->at(time_s); });
  }

 private:
  static constexpr double least_step_s = 0.05;
  const RunAnalysis& analysis_;
  std::optional<MixingCourse> course_;
};

void add_residuals(RunChart& chart, CurveView readings, const Fit& fit, bool left_out) {
  for (const Point& point : readings) {
    const auto fitted_degC = fit.at(point.time_s);
    if (!fitted_degC) continue;
    chart.residuals.push_back({point.time_s, point.temperature_degC - *fitted_degC, left_out});
  }
}

/// The method of the rise in the chart's language.
std::string method_text(const RunAnalysis& analysis, const Texts& texts) {
  static constexpr const char* keys[] = {"method.course", "method.integral", "method.lines"};
  for (std::size_t i = 0; i < analysis.estimates.size() && i < std::size(keys); ++i) {
    if (analysis.estimates[i].method == analysis.rise.method) return texts[keys[i]];
  }
  return analysis.rise.method;
}

}  // namespace

RunChart run_chart(const ReplayedRun& run, const std::string& title, Language language) {
  const RunAnalysis& analysis = run.made.analysis;
  const Json& record = run.made.record;
  const Texts texts(language);
  std::vector<ProbeRole> roles;
  for (const Json& probe : record.at("probes")) {
    roles.push_back(role_from_name(probe.at("role").get<std::string>()).value_or(ProbeRole::cup));
  }
  const Curve cup = run_input(run.run, roles).cup;
  const Curve used = used_readings(cup, analysis.left_out);
  RunChart chart;
  chart.title = title;
  chart.language = language;
  if (record.at("started_at").is_string()) {
    chart.subtitles.push_back(
        texts.fill("run_chart.started", {{"time", record["started_at"].get<std::string>()}}));
  }
  chart.cup = chart_points(used);
  chart.left_out = chart_points(analysis.left_out);
  chart.fore = span(analysis.fore);
  chart.main = span(analysis.main);
  chart.after = span(analysis.after);
  chart.mixing_time_s = analysis.mixing_time_s.value;
  if (!analysis.usable() || !analysis.leak) return chart;
  chart.subtitles.push_back(method_text(analysis, texts));
  const HeatLeak& leak = *analysis.leak;
  chart.equal_area_time_s = analysis.equal_area_s;
  chart.fore_line = polyline(analysis.fore.start_s, analysis.equal_area_s, line_step_s,
                             [&](double time_s) { return leak.fore_at(time_s); });
  chart.after_line = polyline(analysis.equal_area_s, analysis.after.end_s, line_step_s,
                              [&](double time_s) { return leak.after_at(time_s); });
  chart.corrected_rise_K = Uncertain{analysis.rise.value_K, analysis.rise.u_K, analysis.rise.dof};
  const Fit fit(analysis);
  chart.course = fit.course();
  add_residuals(chart, used, fit, false);
  add_residuals(chart, analysis.left_out, fit, true);
  chart.scatter_K = fit.scatter_K();
  return chart;
}

RunChart without_rise(RunChart chart) {
  RunChart bare;
  bare.title = std::move(chart.title);
  bare.cup = std::move(chart.cup);
  bare.added = std::move(chart.added);
  bare.left_out = std::move(chart.left_out);
  bare.fore = chart.fore;
  bare.main = chart.main;
  bare.after = chart.after;
  bare.mixing_time_s = chart.mixing_time_s;
  bare.language = chart.language;
  return bare;
}

}  // namespace nestcup
