// Readings whose stamps are late by now more, now less: how much is told from the stamps, and no
// mixing is lost for it.
#include "core/analysis/course/stamp_scatter.hpp"

#include <algorithm>
#include <cmath>
#include <random>

#include "core/analysis/run/run_follower.hpp"
#include "tests/analysis/followed.hpp"
#include "tests/catch.hpp"

using namespace nestcup;

namespace {

/// A lateness that is exponentially distributed has its mean for its standard deviation.
class Lateness {
 public:
  Lateness(double mean_s, unsigned seed) : random_(seed), late_s_(1.0 / mean_s) {}
  double next_s() { return late_s_(random_); }

 private:
  std::mt19937 random_;
  std::exponential_distribution<double> late_s_;
};

Curve even_stamps(int readings, double interval_s) {
  Curve curve;
  for (int i = 0; i < readings; ++i) curve.push_back({interval_s * i, 21.0});
  return curve;
}

/// Trials at a board that answers every two seconds.
sim::SimulatedRun slow_trials(int trials) {
  sim::Scenario scenario = equal_trials(trials);
  scenario.interval_s = 2.0;
  for (sim::ProbeSettings& probe : scenario.probes) probe.lag_s = 4.0;
  return simulate(scenario, 5);
}

/// Both probes of a line are late by the same.
BenchReadings stamped_late(const sim::SimulatedRun& simulated, double mean_s) {
  BenchReadings bench = bench_readings(simulated);
  Lateness lateness(mean_s, 5);
  for (std::size_t i = 0; i < bench.readings.size(); i += 2) {
    const TimeUs late_us = to_us(lateness.next_s());
    for (const std::size_t of_line : {i, i + 1}) bench.readings[of_line].time_us += late_us;
  }
  return bench;
}

}  // namespace

TEST_CASE("even stamps scatter by nothing, also where readings are missing") {
  Curve curve = even_stamps(300, 0.7);
  CHECK(stamp_scatter_s(curve) < 1e-9);
  std::erase_if(curve, [](const Point& point) { return std::fmod(point.time_s, 11.0) < 3.0; });
  REQUIRE(curve.size() < 250);
  CHECK(stamp_scatter_s(curve) < 1e-9);
  CHECK(stamp_scatter_s(CurveView(curve).first(4)) == 0.0);
}

TEST_CASE("the scatter of late stamps is told from the stamps") {
  const double mean_s = GENERATE(0.02, 0.1, 0.2);
  Curve curve = even_stamps(1000, 2.0);
  Lateness lateness(mean_s, 7);
  for (Point& point : curve) point.time_s += lateness.next_s();
  // 1000 draws tell the root of an exponential's variance within 4.5 % (its kurtosis is 9).
  CHECK_THAT(stamp_scatter_s(curve), WithinRel(mean_s, 0.135));
}

TEST_CASE("stamps count for scatter where the course is steep") {
  course::Vector p = course::Vector::Zero();
  p(course::start_degC) = p(course::rest_degC) = 21.0;
  p(course::log_rate) = std::log(3e-4);
  p(course::rise_K) = 6.0;
  p(course::mixing_s) = 100.0;
  p(course::log_pour) = std::log(2.0);
  p(course::log_release) = p(course::log_lag) = std::log(4.0);
  const MixingCourse course(p, course::Form::one_release);
  const Curve curve = even_stamps(400, 0.5);
  const CurveView before = between(curve, 0.0, 95.0), steep = between(curve, 103.0, 108.0);
  CHECK(stamped_scatter_K(before, course, 0.1) < 1e-6);
  CHECK(stamped_scatter_K(steep, course, 0.0) == 0.0);
  double squares_K2 = 0.0;
  for (const Point& point : steep) {
    squares_K2 += std::pow(course.at(point.time_s + 0.1) - course.at(point.time_s), 2);
  }
  const double moved_K = std::sqrt(squares_K2 / static_cast<double>(steep.size()));
  CHECK_THAT(stamped_scatter_K(steep, course, 0.1), WithinRel(moved_K, 0.05));
}

TEST_CASE("late stamps lose no mixing", "[many]") {
  const double mean_s = GENERATE(0.1, 0.2);
  const sim::SimulatedRun simulated = slow_trials(20);
  const BenchReadings bench = stamped_late(simulated, mean_s);
  const auto runs = followed(bench);
  REQUIRE(simulated.truth.size() == 20);
  REQUIRE(runs.size() == simulated.truth.size());
  for (std::size_t i = 0; i < runs.size(); ++i) {
    const RunAnalysis run = analyse_run(run_input(runs[i], bench.roles));
    REQUIRE(run.usable());
    CHECK_THAT(run.rise.value_K,
               WithinAbs(simulated.truth[i].corrected_rise_K, 3.5 * run.rise.u_K));
  }
}
