#include "tools/forecast/request.hpp"

#include <fmt/format.h>

#include <cmath>

#include "core/base/numbers.hpp"
#include "core/sheet/sheet_file.hpp"
#include "core/sheet/trial_choice.hpp"
#include "tools/place.hpp"

namespace nestcup::forecast {
namespace {

/// "28" or "28+-0.5".
Result<Uncertain> quantity(const std::string& option, const std::string& text) {
  const std::size_t split = text.find("+-");
  const auto value = parse_number(text.substr(0, split));
  const auto u =
      split == std::string::npos ? std::optional(0.0) : parse_number(text.substr(split + 2));
  if (!value || !u || !std::isfinite(*value) || !std::isfinite(*u) || *u < 0.0) {
    return Error{Fault::usage,
                 fmt::format("option --{}: \"{}\" is no number, nor one with its standard "
                             "uncertainty (28+-0.5)",
                             option, text)};
  }
  return Uncertain{*value, *u, {}};
}

using Named = std::map<std::string, Uncertain>;

/// --option NAME=VALUE[+-U], any number of times.
Result<void> read_named(const cli::Parsed& parsed, const std::string& option, const Sheet& sheet,
                        Named& values) {
  for (const std::string& text : parsed.texts(option)) {
    const std::size_t split = text.rfind('=');
    if (split == std::string::npos || split == 0) {
      return Error{Fault::usage,
                   fmt::format("option --{}: \"{}\": expected NAME=VALUE with the name of a trial",
                               option, text)};
    }
    const std::string name = text.substr(0, split);
    const auto trial = trial_named(sheet, name);
    if (!trial)
      return Error{Fault::usage, fmt::format("option --{}: {}", option, trial.error().text)};
    const auto value = quantity(option, text.substr(split + 1));
    if (!value) return value.error();
    values[name] = *value;
  }
  return {};
}

struct Bounds {
  const char* option;
  double least, most;
  double BenchPlan::*value;
};

constexpr Bounds bench_numbers[] = {{"interval-s", 0.05, 30.0, &BenchPlan::interval_s},
                                    {"after-s", 20.0, 3600.0, &BenchPlan::after_period_s},
                                    {"noise-K", 1e-4, 1.0, &BenchPlan::noise_K},
                                    {"step-K", 0.0, 1.0, &BenchPlan::step_K}};

Result<std::optional<double>> bounded(const cli::Parsed& parsed, const char* option, double least,
                                      double most) {
  const auto number = parsed.number(option);
  if (!number) return number.error();
  if (*number && !(**number >= least && **number <= most)) {
    return Error{Fault::usage, fmt::format("option --{}: {} is not within {} and {}", option,
                                           **number, least, most)};
  }
  return *number;
}

Result<void> read_bench_options(const cli::Parsed& parsed, BenchPlan& bench) {
  for (const Bounds& wanted : bench_numbers) {
    const auto number = bounded(parsed, wanted.option, wanted.least, wanted.most);
    if (!number) return number.error();
    if (*number) bench.*wanted.value = **number;
  }
  const auto tolerance_K = bounded(parsed, "tolerance-K", 0.0, 5.0);
  if (!tolerance_K) return tolerance_K.error();
  if (*tolerance_K) bench.cup_tolerance_K = bench.added_tolerance_K = **tolerance_K;
  const auto lag_s = bounded(parsed, "lag-s", 0.1, 30.0);
  if (!lag_s) return lag_s.error();
  if (*lag_s) bench.least_lag_s = bench.most_lag_s = **lag_s;
  return {};
}

Result<void> read_assumptions(const cli::Parsed& parsed, const Sheet& sheet,
                              Assumptions& assumptions) {
  const auto one = [&](const char* option, double least, double most, auto& value) -> Result<void> {
    const auto text = parsed.text(option);
    if (!text) return {};
    const auto read = quantity(option, *text);
    if (!read) return read.error();
    if (!(read->value >= least && read->value <= most)) {
      return Error{Fault::usage, fmt::format("option --{}: {} is not within {} and {}", option,
                                             read->value, least, most)};
    }
    value = *read;
    return {};
  };
  if (auto done = one("cup-degC", 0.0, 90.0, assumptions.cup_degC); !done) return done;
  if (auto done = one("constant", 0.0, 2000.0, assumptions.constant_J_per_K); !done) return done;
  if (auto done = read_named(parsed, "added-degC", sheet, assumptions.added_degC); !done) {
    return done;
  }
  if (auto done = read_named(parsed, "enthalpy", sheet, assumptions.enthalpy_kJ_per_mol); !done) {
    return done;
  }
  return read_named(parsed, "heat-capacity", sheet, assumptions.heat_capacity_J_per_g_K);
}

}  // namespace

std::vector<cli::OptionSpec> request_options() {
  const auto valued = [](const char* name, const char* value, const char* help, bool many = false) {
    cli::OptionSpec option;
    option.name = name;
    option.value_name = value;
    option.help = help;
    option.repeatable = many;
    return option;
  };
  std::vector<cli::OptionSpec> options{
      {.name = "bench",
       .value_name = "FILE",
       .help = "the bench whose probes and periods count; a usual one without it",
       .complete = {cli::Hint::file}},
      valued("trial", "NAME", "this trial alone"),
      valued("enthalpy", "TRIAL_VALUE",
             "NAME=KJ_PER_MOL: of a trial's equation at 25 degC; also NAME=-55.8+-0.3", true),
      valued("heat-capacity", "TRIAL_VALUE", "NAME=J_PER_G_K: of a trial's hot solid", true),
      valued("constant", "J_PER_K", "of the calorimeter; also 28+-2"),
      valued("cup-degC", "DEGC", "of cups where the sheet does not say it; also 21+-0.5"),
      valued("added-degC", "TRIAL_VALUE", "NAME=DEGC: of what a trial adds, before mixing", true),
      valued("noise-K", "K", "scatter of single readings (0.008)"),
      valued("step-K", "K", "last digit of the readings (0.01; 0 for none)"),
      valued("tolerance-K", "K", "of all probes as bought (the bench's, else 0.2)"),
      valued("interval-s", "S", "between readings (the bench's, else 0.5)"),
      valued("after-s", "S", "after period (the bench's, else 180)"),
      valued("lag-s", "S", "of the probes in stirred liquid (3 to 6)")};
  options.push_back(json_option());
  return options;
}

Result<Request> read_request(const cli::Parsed& parsed) {
  Request request;
  auto sheet = read_sheet(*parsed.text("SHEET"));
  if (!sheet) return sheet.error();
  request.plan.sheet = std::move(sheet).value();
  if (request.plan.sheet.trials.empty()) {
    return Error{Fault::bad_data,
                 request.plan.sheet.path + ": has no [[trial]]; a forecast needs one"};
  }
  if (parsed.text("bench")) {
    const auto bench = chosen_bench(parsed);
    if (!bench) return bench.error();
    request.bench = bench->path;
    request.plan.bench = plan_of(*bench);
  }
  if (auto read = read_bench_options(parsed, request.plan.bench); !read) return read.error();
  auto assumed = read_assumptions(parsed, request.plan.sheet, request.plan.assumptions);
  if (!assumed) return assumed.error();
  if (const auto name = parsed.text("trial")) {
    const auto trial = trial_named(request.plan.sheet, *name);
    if (!trial) return Error{Fault::usage, "option --trial: " + trial.error().text};
    request.only = *trial;
  }
  return request;
}

}  // namespace nestcup::forecast
