// What a forecast takes for granted, and the cautions that go with a sheet, in words.
#include <fmt/format.h>
#include <fmt/ranges.h>

#include <map>

#include "core/base/uncertain_text.hpp"
#include "core/report/words/cautions.hpp"
#include "tools/forecast/forecast_page.hpp"

namespace nestcup::forecast {
namespace {

std::string text_of(const Measured& measured, std::string_view unit) {
  return uncertain_text({measured.value(), measured.u(), {}}, unit);
}

std::string bench_text(const BenchPlan& bench, const std::string& path) {
  const std::string tolerance =
      bench.cup_tolerance_K > 0.0 || bench.added_tolerance_K > 0.0
          ? fmt::format("probes within {} K as bought{}", bench.cup_tolerance_K,
                        bench.has_added && bench.added_tolerance_K != bench.cup_tolerance_K
                            ? fmt::format(" (second vessel {} K)", bench.added_tolerance_K)
                            : std::string())
          : "probes without tolerance_K, which count as exact";
  return fmt::format(
      "{}: a reading every {} s, scatter {} K, last digit {} K; after period {} s; "
      "{}; {}.",
      path.empty() ? "A usual bench" : "Bench " + path, bench.interval_s, bench.noise_K,
      bench.step_K, bench.after_period_s, tolerance,
      bench.has_added ? "a probe in each vessel" : "one probe for both vessels");
}

std::string rehearsal_text(const BenchPlan& bench) {
  const std::string lag = bench.least_lag_s == bench.most_lag_s
                              ? fmt::format("{} s", bench.most_lag_s)
                              : fmt::format("{} to {} s", bench.least_lag_s, bench.most_lag_s);
  return fmt::format(
      "Rehearsed on the simulated bench: leak 2e-4 to 5e-4 per s, probes with a lag "
      "of {}, pours of 1 to 3 s, foreperiods of 80 to 120 s, a room within 0.7 K, "
      "{} runs of each trial.",
      lag, enough_runs(bench));
}

}  // namespace

std::vector<std::string> assumed(const Forecast& forecast, const Request& request) {
  std::vector<std::string> all{bench_text(forecast.plan.bench, request.bench),
                               rehearsal_text(forecast.plan.bench)};
  const ExpectedValue& constant = forecast.rises.constant_J_per_K;
  all.push_back(fmt::format("Calorimeter constant {} ({}).", text_of(constant.value, "J/K"),
                            constant.source));
  for (std::size_t i = 0; i < forecast.trials.size(); ++i) {
    const Expectation& expected = forecast.rises.trials[i];
    const SheetTrial& trial = forecast.plan.sheet.trials[i];
    if (!expected || (request.only && *request.only != i)) continue;
    std::string text = fmt::format("{}: cup {}", trial.name, text_of(expected->cup_degC, "degC"));
    if (expected->added_degC) {
      text += fmt::format(", added {} ({})", text_of(*expected->added_degC, "degC"),
                          expected->added_source);
    }
    if (!gives_constant(trial)) {
      text += fmt::format("; {} ({})", text_of(expected->outcome.value, unit_of(trial.purpose)),
                          expected->outcome.source);
    }
    all.push_back(text + ".");
  }
  return all;
}

std::vector<std::string> cautions_of(const Forecast& forecast) {
  return cautions(forecast.plan.sheet, Texts(Language::english));
}

}  // namespace nestcup::forecast
