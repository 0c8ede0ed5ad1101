// Fits drawn trials and writes, for each, readings, starting knowledge and result, so that a
// general-purpose library can fit the same.
//
// write_fits FOLDER TRIALS SEED fine|coarse|speed
#include <fmt/format.h>

#include <cmath>
#include <cstdlib>
#include <ctime>
#include <fstream>
#include <nlohmann/json.hpp>
#include <string>
#include <string_view>

#include "core/analysis/course/course_fit.hpp"
#include "tests/bench/trial_result.hpp"

namespace nestcup::bench {
namespace {

using Json = nlohmann::json;

/// Five minutes at five readings a second.
Trial speed_trial() {
  Trial trial;
  trial.interval_s = 0.2;
  trial.mixing_s = 90.3;
  trial.end_s = 300.0;
  trial.step_K = 0.01;
  return trial;
}

Json numbers(const course::Vector& vector) {
  Json list = Json::array();
  for (int i = 0; i < course::slow_share; ++i) {
    list.push_back(std::isfinite(vector(i)) ? Json(vector(i)) : Json(nullptr));
  }
  return list;
}

/// Processor time, the best of some repetitions, s.
double analysis_time_s(const RunInput& input) {
  double best_s = INFINITY;
  for (int i = 0; i < 25; ++i) {
    const std::clock_t begin = std::clock();
    const RunAnalysis run = analyse_run(input);
    const double took_s = static_cast<double>(std::clock() - begin) / CLOCKS_PER_SEC;
    if (run.usable()) best_s = std::min(best_s, took_s);
  }
  return best_s;
}

Json fitted(const Trial& trial, const RunInput& input) {
  const Noise noise = estimate_run_noise(input.cup, input.onset_hint_s - 5.0);
  const double start_degC =
      between(input.cup, 0.0, input.onset_hint_s - 5.0).back().temperature_degC;
  const CoursePrior prior = bench_prior(start_degC, input.onset_hint_s, std::nullopt);
  const CourseFit fit = best_course(input.cup, input.onset_hint_s, noise, prior);
  Json json{{"truth_rise_K", trial.rise_K},
            {"hint_s", input.onset_hint_s},
            {"start_degC", start_degC},
            {"noise_K", fit.noise.sd_K},
            {"step_K", fit.noise.step_K},
            {"rounded", fit.noise.is_coarse()},
            {"prior_mean", numbers(prior.mean)},
            {"prior_u", numbers(prior.u)},
            {"parameters", numbers(fit.parameters)},
            {"rise_K", fit.rise_K()},
            {"mixing_s", fit.mixing_s()},
            {"u_rise_K", std::sqrt(fit.covariance(course::rise_K, course::rise_K))},
            {"u_mixing_s", std::sqrt(fit.covariance(course::mixing_s, course::mixing_s))},
            {"analysis_s", analysis_time_s(input)}};
  for (const Point& point : input.cup) {
    json["time_s"].push_back(point.time_s);
    json["cup_degC"].push_back(point.temperature_degC);
  }
  return json;
}

}  // namespace
}  // namespace nestcup::bench

int main(int argc, char** argv) {
  using namespace nestcup::bench;
  if (argc != 5) {
    fmt::print(stderr, "write_fits FOLDER TRIALS SEED fine|coarse|speed\n");
    return 64;
  }
  std::mt19937_64 random(std::strtoull(argv[3], nullptr, 10));
  const std::string_view kind = argv[4];
  const Display display = kind == "coarse" ? Display::coarse : Display::fine;
  int written = 0;
  while (written < std::atoi(argv[2])) {
    const Trial trial = kind == "speed" ? speed_trial() : drawn_trial(random, display);
    const auto runs = followed_runs(readings_of(trial, random));
    if (runs.size() != 1) continue;
    std::ofstream(fmt::format("{}/fit-{}.json", argv[1], written++))
        << fitted(trial, runs[0].input) << '\n';
  }
  return 0;
}
