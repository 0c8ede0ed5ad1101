#include "tests/report/example_charts.hpp"

#include <cmath>

namespace nestcup {

namespace {

constexpr double start_degC = 22.3;
constexpr double leak_per_s = 4e-4;

/// Temperature of the run's after period's law at `time_s`, degC.
double after_degC(const ExampleRun& run, double time_s) {
  return start_degC + run.rise_K * std::exp(-leak_per_s * (time_s - run.mixing_s - run.release_s));
}

double cup_degC(const ExampleRun& run, double time_s) {
  const double since_s = time_s - run.mixing_s;
  if (since_s <= 0.0) return start_degC;
  return start_degC +
         (after_degC(run, time_s) - start_degC) * (1.0 - std::exp(-since_s / run.release_s));
}

double ripple_K(const ExampleRun& run, std::size_t i) {
  return run.ripple_K * std::sin(12.9898 * static_cast<double>(i));
}

void add_readings(RunChart& chart, const ExampleRun& run) {
  for (std::size_t i = 0; static_cast<double>(i) * run.interval_s <= run.end_s; ++i) {
    const double time_s = static_cast<double>(i) * run.interval_s;
    const bool is_knock = i % 40 == 25 && static_cast<int>(i / 40) < run.knocks;
    const double knock_K = is_knock ? run.knock_K * (i % 80 == 25 ? 1.0 : -1.0) : 0.0;
    const double temperature_degC = cup_degC(run, time_s) + ripple_K(run, i) + knock_K;
    (is_knock ? chart.left_out : chart.cup).push_back({time_s, temperature_degC});
    if (run.has_added && time_s < run.mixing_s) {
      chart.added.push_back({time_s, start_degC + 2.2 * run.rise_K - 0.003 * time_s});
    }
    const bool in_main = time_s > run.mixing_s && time_s < run.mixing_s + 6.0 * run.release_s;
    if (run.has_fit && !(run.by_lines && in_main)) {
      chart.residuals.push_back({time_s, ripple_K(run, i) + knock_K, is_knock});
    }
  }
}

void add_course(RunChart& chart, const ExampleRun& run) {
  constexpr int corners = 60;
  for (int i = 0; i <= corners; ++i) {
    const double time_s = run.mixing_s + 6.0 * run.release_s * i / corners;
    chart.course.push_back({time_s, cup_degC(run, time_s)});
  }
}

}  // namespace

RunChart example_chart(const ExampleRun& run) {
  const double equal_area_s = run.mixing_s + run.release_s;
  const double main_end_s = run.mixing_s + 6.0 * run.release_s;
  RunChart chart;
  chart.title = "oxide 2";
  chart.subtitles = {"Formation enthalpy of magnesium oxide, bench-4, 2026-11-25 08:00 UTC"};
  chart.language = run.language;
  add_readings(chart, run);
  if (run.has_fit) chart.scatter_K = run.ripple_K / std::sqrt(2.0);
  if (run.has_fit && !run.by_lines) add_course(chart, run);
  chart.fore = {0.0, run.mixing_s};
  chart.main = {run.mixing_s, main_end_s};
  chart.after = {main_end_s, run.end_s};
  chart.fore_line = {{0.0, start_degC}, {equal_area_s, start_degC}};
  for (int i = 0; i <= 20; ++i) {
    const double time_s = equal_area_s + (run.end_s - equal_area_s) * i / 20.0;
    chart.after_line.push_back({time_s, after_degC(run, time_s)});
  }
  chart.mixing_time_s = run.mixing_s;
  chart.equal_area_time_s = equal_area_s;
  chart.corrected_rise_K = Uncertain{run.rise_K, 0.0061, 210.0};
  return chart;
}

}  // namespace nestcup
