// From readings to what the chart of their run shows.
#include "core/report/charts/run_drawing.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <random>

#include "core/record/trace_file.hpp"
#include "tests/catch.hpp"

using namespace nestcup;

namespace {

constexpr double mixing_s = 120.0;
constexpr double noise_K = 0.004;

/// What a probe with a lag shows of a cup that leaks while heat is set free at first order: exact
/// solution of both first-order equations, as a sum of three exponentials.
double drawn_degC(double time_s) {
  constexpr double start_degC = 21.0, rise_K = 5.0;
  constexpr double leak = 3e-4, release = 1.0 / 4.0, lag = 1.0 / 2.0;  // rates, 1/s
  const double since_s = time_s - mixing_s;
  if (since_s <= 0.0) return start_degC;
  const double all = rise_K * release * lag;
  return start_degC + all * (std::exp(-leak * since_s) / ((release - leak) * (lag - leak)) +
                             std::exp(-release * since_s) / ((leak - release) * (lag - release)) +
                             std::exp(-lag * since_s) / ((leak - lag) * (release - lag)));
}

/// The run in readings every half second; knocks of 0.5 K at the readings `knocked`.
ReplayedRun one_run(double end_s, const std::vector<int>& knocked, const ReplayOptions& options) {
  std::mt19937_64 random(20);
  std::normal_distribution<double> noise(0.0, noise_K);
  std::string text = "time_s,cup_degC\n";
  for (int i = 0; 0.5 * i <= end_s; ++i) {
    const bool is_knock = std::find(knocked.begin(), knocked.end(), i) != knocked.end();
    const double degC = drawn_degC(0.5 * i) + noise(random) + (is_knock ? 0.5 : 0.0);
    text += fmt::format("{:.1f},{:.4f}\n", 0.5 * i, degC);
  }
  const auto trace = parse_trace(text, "run.csv");
  REQUIRE(trace.ok());
  const auto runs =
      replay_trace(*trace, options, [] { return "01a21274-8d60-736c-9a30-8068634ed98d"; });
  REQUIRE(runs.size() == 1);
  return runs.front();
}

double sd_K(const std::vector<ChartResidual>& residuals) {
  double squares = 0.0;
  for (const ChartResidual& residual : residuals) squares += std::pow(residual.residual_K, 2);
  return std::sqrt(squares / static_cast<double>(residuals.size()));
}

}  // namespace

TEST_CASE("what the fit leaves of the readings is their noise") {
  const RunChart chart = run_chart(one_run(400.0, {}, {}), "Run 1");
  REQUIRE(chart_svg(chart).ok());
  REQUIRE(chart.course.size() > 20);
  CHECK(chart.course.front().time_s == chart.main.start_s);
  CHECK(chart.course.back().time_s == chart.main.end_s);
  CHECK(chart.left_out.empty());
  REQUIRE(chart.residuals.size() > 400);
  // The sd of 600 readings is known to 3 %; the fit takes a few degrees of freedom.
  CHECK_THAT(sd_K(chart.residuals), WithinAbs(noise_K, 0.12 * noise_K));
  CHECK_THAT(chart.scatter_K.value(), WithinAbs(noise_K, 0.15 * noise_K));
  const auto within = std::count_if(
      chart.residuals.begin(), chart.residuals.end(), [&](const ChartResidual& residual) {
        return std::abs(residual.residual_K) <= 2.0 * *chart.scatter_K;
      });
  // 95.4 % of a normal distribution lie within two standard deviations.
  CHECK_THAT(static_cast<double>(within) / static_cast<double>(chart.residuals.size()),
             WithinAbs(0.954, 0.03));
}

TEST_CASE("knocks that the analysis leaves out stand apart") {
  const RunChart with = run_chart(one_run(400.0, {100, 500}, {}), "Run 1");
  REQUIRE(with.left_out.size() == 2);
  CHECK(with.left_out[0].time_s - with.cup.front().time_s == 50.0);
  CHECK(with.left_out[1].time_s - with.left_out[0].time_s == 200.0);
  std::vector<ChartResidual> apart;
  for (const ChartResidual& residual : with.residuals) {
    if (residual.left_out) apart.push_back(residual);
  }
  REQUIRE(apart.size() == 2);
  for (const ChartResidual& residual : apart) {
    CHECK_THAT(residual.residual_K, WithinAbs(0.5, 5.0 * noise_K));
  }
  CHECK(std::none_of(with.cup.begin(), with.cup.end(), [&](const ChartPoint& point) {
    return point.time_s == with.left_out[0].time_s;
  }));
}

TEST_CASE("with another method there is no course, and the main period has no residuals") {
  ReplayedRun run = one_run(400.0, {}, {});
  RunAnalysis& analysis = run.made.analysis;
  analysis.course.reset();
  analysis.rise = analysis.estimates[2];
  const RunChart chart = run_chart(run, "Run 1", Language::german);
  CHECK(chart.course.empty());
  REQUIRE(chart.residuals.size() > 300);
  CHECK(std::none_of(
      chart.residuals.begin(), chart.residuals.end(), [&](const ChartResidual& residual) {
        return residual.time_s >= chart.main.start_s && residual.time_s < chart.main.end_s;
      }));
  CHECK_THAT(sd_K(chart.residuals), WithinAbs(noise_K, 0.15 * noise_K));
  CHECK(chart.subtitles.back() == Texts(Language::german)["method.lines"]);
  CHECK(chart_svg(chart).ok());
}

TEST_CASE("a chart without the rise has the readings and periods, and says nothing of the rise") {
  const RunChart whole = run_chart(one_run(400.0, {300}, {}), "Run 1");
  const RunChart bare = without_rise(whole);
  CHECK(bare.cup.size() == whole.cup.size());
  CHECK(bare.left_out.size() == 1);
  CHECK(bare.after.end_s == whole.after.end_s);
  CHECK(bare.mixing_time_s == whole.mixing_time_s);
  const std::size_t drawn =
      bare.fore_line.size() + bare.after_line.size() + bare.course.size() + bare.residuals.size();
  CHECK(drawn == 0);
  REQUIRE(chart_svg(bare).ok());
  const std::string rise = fmt::format("{:.2f}", whole.corrected_rise_K.value().value);
  CHECK(chart_page(whole)->description.find(rise) != std::string::npos);
  CHECK(chart_page(bare)->description.find(rise) == std::string::npos);
}
