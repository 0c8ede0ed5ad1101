#include "tools/demo/outcome.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <fstream>

#include "core/analysis/rise/hand_line.hpp"
#include "core/base/uncertain_text.hpp"
#include "core/record/stored_run.hpp"
#include "tools/cli/output.hpp"

namespace nestcup::demo {
namespace {

/// A run belongs to a mixing whose time it has within so many seconds.
constexpr double same_mixing_s = 20.0;

/// Scenario time to the bench's axis, through the machine's clock that both know.
class Axis {
 public:
  Axis(const Truth& truth, const StoredSession& session) : truth_(truth), session_(session) {}

  [[nodiscard]] double axis_us(double scenario_s) const {
    const double machine_wall_us = truth_.started_wall_us + scenario_s * 1e6 / truth_.speed;
    const double since_us = machine_wall_us - static_cast<double>(session_.wall_us);
    return static_cast<double>(session_.axis_us) + since_us * session_.speed;
  }

 private:
  const Truth& truth_;
  const StoredSession& session_;
};

Result<std::optional<double>> by_hand(const Store& store, const StoredRun& run, double mixing_s) {
  const auto readings = readings_of(store, run);
  if (!readings) return readings.error();
  FinishedRun finished;
  finished.readings = readings->readings;
  return hand_line_K(run_input(finished, readings->roles).cup, mixing_s);
}

double median(std::vector<double> values) {
  std::sort(values.begin(), values.end());
  return values.empty() ? 0.0 : values[values.size() / 2];
}

std::string mK(const std::optional<double>& kelvin) {
  return kelvin ? fmt::format("{:+.1f}", *kelvin * 1000.0) : "-";
}

}  // namespace

Result<Truth> read_truth(const std::string& path) {
  std::ifstream file(path);
  if (!file) return Error{Fault::no_input, path + ": no such file"};
  try {
    const auto json = nlohmann::json::parse(file);
    Truth truth;
    truth.started_wall_us = json.at("started_wall_us").get<double>();
    truth.speed = json.at("speed").get<double>();
    for (const auto& mixing : json.at("mixings")) {
      truth.mixings.push_back({mixing.at("trial"), mixing.at("number"), mixing.at("mixing_time_s"),
                               mixing.at("corrected_rise_K")});
    }
    return truth;
  } catch (const nlohmann::json::exception& fault) {
    return Error{Fault::bad_data, fmt::format("{}: {}", path, fault.what())};
  }
}

std::optional<double> Outcome::off_K() const {
  if (!run || record.at("corrected_rise_K").at("value").is_null()) return std::nullopt;
  return record["corrected_rise_K"]["value"].get<double>() - truth.corrected_rise_K;
}

std::optional<double> Outcome::hand_off_K() const {
  return hand_K ? std::optional(*hand_K - truth.corrected_rise_K) : std::nullopt;
}

bool Outcome::is_right() const {
  const auto off = off_K();
  return off && std::abs(*off) <= 3.0 * record["corrected_rise_K"]["u"].get<double>();
}

bool Outcome::in_its_trial() const {
  if (!run || record.at("trial").is_null()) return false;
  return record["trial"].at("name") == truth.trial && record["trial"].at("number") == truth.number;
}

bool Day::all_in_their_trials() const {
  return std::all_of(outcomes.begin(), outcomes.end(),
                     [](const Outcome& outcome) { return outcome.in_its_trial(); });
}

bool Day::all_right() const {
  return false_runs == 0 && !outcomes.empty() &&
         std::all_of(outcomes.begin(), outcomes.end(),
                     [](const Outcome& outcome) { return outcome.is_right(); });
}

Result<Day> match_runs(const Store& store, const Truth& truth) {
  const auto session = store.last_session();
  if (!session) return session.error();
  const auto runs = store.runs();
  if (!runs) return runs.error();
  Day day;
  day.false_runs = static_cast<int>(runs->size());
  for (const Mixing& mixing : truth.mixings) {
    Outcome outcome{mixing, std::nullopt, {}, 0.0, std::nullopt};
    for (const StoredRun& run : *runs) {
      const Json record = Json::parse(run.record_json);
      const double found_s = record.at("mixing").at("time_s").at("value").get<double>();
      const double true_us = Axis(truth, **session).axis_us(mixing.mixing_time_s);
      const double true_s = (true_us - static_cast<double>(run.first_us)) / 1e6;
      if (outcome.run || std::abs(found_s - true_s) > same_mixing_s) continue;
      outcome.run = run;
      outcome.record = record;
      outcome.mixing_time_s = true_s;
      const auto hand = by_hand(store, run, true_s);
      if (!hand) return hand.error();
      outcome.hand_K = *hand;
      --day.false_runs;
    }
    day.outcomes.push_back(std::move(outcome));
  }
  return day;
}

std::string day_table(const Day& day, bool colour) {
  using cli::Align;
  cli::Table table({{"trial"},
                    {"corrected rise", Align::right},
                    {"simulation", Align::right},
                    {"off by", Align::right},
                    {"in u", Align::right},
                    {"by hand", Align::right},
                    {"hand off by", Align::right}});
  for (const Outcome& outcome : day.outcomes) {
    const auto off = outcome.off_K();
    const Uncertain rise =
        off ? Uncertain{outcome.record["corrected_rise_K"]["value"].get<double>(),
                        outcome.record["corrected_rise_K"]["u"].get<double>(), std::nullopt}
            : Uncertain{};
    table.add_row({fmt::format("{} {}", outcome.truth.trial, outcome.truth.number),
                   off ? uncertain_text(rise, "K") : "not found",
                   fmt::format("{:.4f} K", outcome.truth.corrected_rise_K), mK(off) + " mK",
                   off ? fmt::format("{:+.1f}", *off / rise.u) : "-",
                   outcome.hand_K ? fmt::format("{:.2f} K", *outcome.hand_K) : "-",
                   mK(outcome.hand_off_K()) + " mK"});
  }
  return table.text(colour);
}

std::string day_summary(const Day& day) {
  std::vector<double> ours, by_hand;
  for (const Outcome& outcome : day.outcomes) {
    if (const auto off = outcome.off_K()) ours.push_back(std::abs(*off));
    if (const auto off = outcome.hand_off_K()) by_hand.push_back(std::abs(*off));
  }
  const double own = median(ours), hand = median(by_hand);
  return fmt::format(
      "Median distance from the simulation: {:.1f} mK here, {:.1f} mK by hand"
      " (readings to 0.1 degree every 20 s and a line): {:.0f} times as far.",
      own * 1000.0, hand * 1000.0, own > 0.0 ? hand / own : 0.0);
}

}  // namespace nestcup::demo
