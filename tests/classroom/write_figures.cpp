// Prints values and what the program makes of them, one set a line of JSON, for r_test.py.
#include <fmt/format.h>

#include <nlohmann/json.hpp>

#include "core/classroom/between_within.hpp"
#include "core/classroom/outlier_tests.hpp"
#include "core/classroom/robust.hpp"
#include "sim/random.hpp"

using namespace nestcup;

namespace {

using Json = nlohmann::ordered_json;

/// Benches with unequal numbers of runs; one in four has a bench that lies off.
std::vector<std::vector<double>> drawn_groups(std::uint64_t seed) {
  sim::Random random(seed, 3);
  std::vector<std::vector<double>> groups(5 + random.below(12));
  for (auto& group : groups) {
    const double bench = -57.0 + 0.6 * random.gaussian();
    group.resize(2 + random.below(4));
    for (double& value : group) value = bench + 0.3 * random.gaussian();
  }
  if (seed % 4 == 0) {
    for (double& value : groups.front()) value += 5.0;
  }
  return groups;
}

Json test_json(const std::optional<OutlierTest>& test) {
  return {{"statistic", test->statistic},
          {"critical_5_percent", test->critical_5_percent},
          {"critical_1_percent", test->critical_1_percent}};
}

Json figures_of(const std::vector<std::vector<double>>& groups) {
  std::vector<double> means;
  std::vector<Scatter> scatters;
  for (const auto& group : groups) {
    const double count = static_cast<double>(group.size());
    double mean = 0.0, squares = 0.0;
    for (const double value : group) mean += value / count;
    for (const double value : group) squares += (value - mean) * (value - mean);
    means.push_back(mean);
    scatters.push_back({squares / (count - 1.0), count - 1.0});
  }
  const RobustFigures robust = algorithm_a(means);
  const auto spread = between_within(groups);
  return {{"groups", groups},
          {"median", median_of(means)},
          {"scaled_mad", scaled_mad_of(means)},
          {"robust_mean", robust.mean},
          {"robust_sd", robust.sd},
          {"repeatability_sd", spread->repeatability_sd},
          {"between_sd", spread->between_sd},
          {"reproducibility_sd", spread->reproducibility_sd},
          {"probability", spread->probability},
          {"grubbs_one", test_json(grubbs_one(means))},
          {"grubbs_two", test_json(grubbs_two(means))},
          {"cochran", test_json(cochran(scatters))}};
}

}  // namespace

int main() {
  for (std::uint64_t seed = 1; seed <= 40; ++seed) {
    fmt::print("{}\n", figures_of(drawn_groups(seed)).dump());
  }
  return 0;
}
