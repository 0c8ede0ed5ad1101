#include "tools/forecast/forecast.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <chrono>
#include <cmath>
#include <future>
#include <map>

#include "core/chemistry/main_value.hpp"
#include "tools/forecast/after_period.hpp"
#include "tools/forecast/look_out.hpp"

namespace nestcup::forecast {
namespace {

double scale_u_K(const ExpectedTrial& expected, const BenchPlan& bench) {
  if (!(bench.cup_tolerance_K > 0.0)) return 0.0;
  return slope_u_of_tolerance(bench.cup_tolerance_K) * std::abs(expected.rise_K.value());
}

void note_lost(const RunErrors& found, const std::string& trial, ResultNotes& notes) {
  if (25 * found.unusable < found.runs) return;
  notes.add({"runs-lost", Severity::warning, trial,
             fmt::format("{} of {} rehearsed runs gave no rise.", found.unusable, found.runs)});
}

/// Every trial that is wanted, in the background of one another.
void rehearse(Forecast& forecast, std::optional<std::size_t> only, const Progress& progress) {
  Plan& plan = forecast.plan;
  const std::size_t count = plan.sheet.trials.size();
  std::vector<std::future<RunErrors>> running(count);
  for (std::size_t i = 0; i < count; ++i) {
    const SheetTrial& trial = plan.sheet.trials[i];
    const bool wanted = !only || *only == i || gives_constant(trial);
    if (!wanted || !forecast.rises.trials[i]) continue;
    running[i] = std::async(std::launch::async, [&plan, &trial, &forecast, i] {
      return rehearsed(*forecast.rises.trials[i], trial, plan.bench, enough_runs(plan.bench));
    });
  }
  const auto patient_until = std::chrono::steady_clock::now() + std::chrono::seconds(3);
  plan.errors.assign(count, std::nullopt);
  for (std::size_t i = 0; i < count; ++i) {
    if (!running[i].valid()) continue;
    if (running[i].wait_until(patient_until) != std::future_status::ready) {
      progress(plan.sheet.trials[i].name);
    }
    const RunErrors found = running[i].get();
    // Too few runs tell nothing of the others.
    if (2 * found.unusable <= found.runs) plan.errors[i] = found;
    note_lost(found, plan.sheet.trials[i].name, forecast.notes);
  }
}

/// The plan with another after period.
Plan with_after_period(const Plan& plan, const Rises& rises, double after_s) {
  Plan changed = plan;
  for (std::size_t i = 0; i < changed.errors.size(); ++i) {
    if (!changed.errors[i]) continue;
    const SheetTrial& trial = plan.sheet.trials[i];
    const double usual_K =
        course_u_K(*rises.trials[i], trial, plan.bench, plan.bench.after_period_s);
    changed.errors[i]->rise_K *= course_u_K(*rises.trials[i], trial, plan.bench, after_s) / usual_K;
  }
  return changed;
}

void take_after_periods(Forecast& forecast) {
  for (const double after_s : after_periods_s) {
    const Plan changed = with_after_period(forecast.plan, forecast.rises, after_s);
    const Results results = outlook(changed, forecast.rises);
    for (std::size_t i = 0; i < forecast.trials.size(); ++i) {
      const auto& outcome = main_value(results.trials[i]);
      if (!outcome || !changed.errors[i]) continue;
      const double readings_K = changed.errors[i]->rise_K;
      const double scale_K = scale_u_K(*forecast.rises.trials[i], changed.bench);
      forecast.trials[i].after.push_back(
          {after_s, std::hypot(readings_K, scale_K), readings_K, outcome->u()});
    }
  }
  for (TrialForecast& trial : forecast.trials) {
    for (const AfterPeriod& after : trial.after) {
      if (trial.enough_after_s) break;
      const double best = trial.after.back().u_result;
      if (best >= (1.0 - worth_share) * after.u_result) trial.enough_after_s = after.after_s;
    }
  }
}

void take_trials(Forecast& forecast, const Results& stated) {
  const Plan& plan = forecast.plan;
  for (std::size_t i = 0; i < forecast.trials.size(); ++i) {
    TrialForecast& trial = forecast.trials[i];
    if (!plan.errors[i]) continue;
    const double scale_K = scale_u_K(*forecast.rises.trials[i], plan.bench);
    trial.u_readings_K = plan.errors[i]->rise_K;
    trial.u_rise_K = std::hypot(trial.u_readings_K, scale_K);
    trial.u_rise_stated_K = std::hypot(plan.errors[i]->stated_rise_K, scale_K);
    trial.result = main_value(forecast.results.trials[i]);
    if (!trial.result) continue;
    // What a constant's own trials bring in is ascribed to the constant once that is known.
    const Inputs& inputs = forecast.results.inputs;
    trial.budget = gives_constant(plan.sheet.trials[i]) ? forecast.results.trials[i].budget
                                                        : budget(*trial.result, inputs);
    trial.mostly = mostly_from(*trial.result, trial.budget, inputs);
    const auto& same = main_value(stated.trials[i]);
    if (same) trial.u_result_stated = same->u();
    trial.gains = gains_of_trial(forecast.levers, i, trial.result->u());
  }
}

void take_cycle(Forecast& forecast, const Results& stated) {
  const auto& cycle = forecast.results.cycle;
  if (!cycle || !cycle->delta_H_kJ_per_mol) return;
  forecast.cycle.result = cycle->delta_H_kJ_per_mol;
  forecast.cycle.budget = cycle->budget;
  forecast.cycle.mostly =
      mostly_from(*forecast.cycle.result, cycle->budget, forecast.results.inputs);
  if (stated.cycle && stated.cycle->delta_H_kJ_per_mol) {
    forecast.cycle.u_stated = stated.cycle->delta_H_kJ_per_mol->u();
  }
  forecast.cycle.gains = gains_of_cycle(forecast.levers, forecast.cycle.result->u());
}

/// A source in words for people.
std::string source_words(ErrorSource source) {
  switch (source) {
    case ErrorSource::temperature:
      return "readings of temperature";
    case ErrorSource::probe:
      return "the probes";
    case ErrorSource::volume:
      return "volumes";
    case ErrorSource::mass:
      return "masses";
    case ErrorSource::concentration:
      return "strength of the stocks";
    case ErrorSource::heat_capacity:
      return "tables of heat capacities";
    default:
      return std::string(error_source_name(source));
  }
}

}  // namespace

std::string mostly_from(const Measured& result, const std::vector<SourceShare>& lines,
                        const Inputs& inputs) {
  if (lines.empty()) return "nothing has an uncertainty";
  const ErrorSource largest = lines.front().source;
  const double together = lines.front().u * lines.front().u;
  double single = 0.0;
  InputId first = 0;
  for (const Effect& effect : result.effects()) {
    const double square = effect.by * effect.by;
    if (inputs[effect.input].source == largest && square > single) {
      single = square;
      first = effect.input;
    }
  }
  // An instrument or a stock that makes up most of its source is named itself.
  const bool has_name = largest == ErrorSource::volume || largest == ErrorSource::mass ||
                        largest == ErrorSource::concentration;
  const bool one = has_name && inputs.is_shared(first) && single > 0.7 * together;
  return fmt::format("{}, {:.0f} %", one ? inputs[first].name : source_words(largest),
                     100.0 * together / result.variance());
}

Forecast make_forecast(Plan plan, std::optional<std::size_t> only, const Progress& progress) {
  Forecast forecast{std::move(plan), {}, {}, {}, {}, {}, {}};
  for (SheetTrial& trial : forecast.plan.sheet.trials) trial.typed.clear();
  forecast.rises = expected_rises(forecast.plan.sheet, forecast.plan.assumptions);
  rehearse(forecast, only, progress);
  forecast.trials.resize(forecast.plan.sheet.trials.size());
  forecast.results = outlook(forecast.plan, forecast.rises);
  const Results stated = outlook(forecast.plan, forecast.rises, Errors::stated);
  forecast.levers = levers(forecast.plan, forecast.rises);
  take_trials(forecast, stated);
  take_cycle(forecast, stated);
  take_after_periods(forecast);
  look_out(forecast, only);
  return forecast;
}

}  // namespace nestcup::forecast
