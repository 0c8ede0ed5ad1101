#include "tests/classroom/simulated_class.hpp"

#include <cmath>
#include <stdexcept>

#include "core/base/digest.hpp"
#include "core/base/time_text.hpp"
#include "core/record/replay.hpp"
#include "core/record/trial_of_run.hpp"
#include "core/sheet/sheet_file.hpp"
#include "core/store/store.hpp"
#include "sim/one_trial.hpp"
#include "sim/simulate.hpp"

namespace nestcup::classroom {
namespace {

/// Of the simulated contents, J/K, and of real ones: a surface is to cool both alike.
constexpr double simulated_J_per_K = 240.0, real_J_per_K = 430.0, open_cm2 = 45.0;

/// Warm water out of a second vessel with a probe of its own, in place of heat set free.
void pour_warm_water(sim::Scenario& scenario, const DayRun& run) {
  sim::Mix& mix = std::get<sim::Mix>(scenario.events.front().what);
  mix.from = sim::Source::given;
  mix.temperature_degC = run.added_degC;
  mix.added_J_per_K = scenario.cup.heat_capacity_J_per_K * run.rise_K /
                      (run.added_degC - run.start_degC - run.rise_K);
  mix.heat_J = 0.0;
  mix.leak_after_W_per_K.reset();
  const double cool_per_s = 5e-4;
  const double room_degC = scenario.room.temperature_degC;
  scenario.added = {room_degC + (run.added_degC - room_degC) *
                                    std::exp(cool_per_s * scenario.events.front().at_s),
                    cool_per_s};
  sim::ProbeSettings probe = scenario.probes.front();
  probe.name = "added";
  probe.place = sim::Place::added;
  scenario.probes.push_back(probe);
}

sim::Scenario scenario_of(const DayBench& bench, const DayRun& run, std::uint64_t seed) {
  sim::OneTrial one;
  one.rise_K = run.rise_K;
  one.start_degC = run.start_degC;
  one.room_degC = 21.3;
  one.leak_before_per_s = run.leak_per_s;
  one.leak_after_per_s = run.leak_per_s;
  one.release_s = run.trial == "warm" ? 0.0 : 1.5;
  one.seed = seed;
  sim::Scenario scenario = sim::one_trial_scenario(one);
  if (bench.mishap == Mishap::lid_off) {
    scenario.cup.open_cm2 = open_cm2 * simulated_J_per_K / real_J_per_K;
  }
  if (run.trial == "warm") pour_warm_water(scenario, run);
  return scenario;
}

}  // namespace

Json simulated_record(const DayBench& bench, std::size_t run, std::uint64_t seed) {
  const DayRun& truth = bench.runs.at(run);
  const sim::Scenario scenario = scenario_of(bench, truth, seed);
  const auto trace = parse_trace(sim::trace_csv(simulate(scenario, scenario.seed)), "class.csv");
  std::array<std::uint8_t, 10> random{};
  for (std::size_t i = 0; i < 8; ++i) random[i] = static_cast<std::uint8_t>(seed >> (8 * i));
  const std::string id = uuid_v7(1'790'000'000'000 + seed, random);
  const auto runs = replay_trace(trace.value(), {}, [&] { return id; });
  if (runs.size() != 1) throw std::runtime_error("not one run was found in " + truth.trial);
  Json record = runs.front().made.record;
  // Acid and base stand in one bath before they are poured together.
  Json& temperatures = record.at("temperatures");
  if (truth.trial != "warm") {
    temperatures.at("added_at_mixing_degC") = {
        {"value", temperatures.at("cup_at_mixing_degC").at("value")}, {"u", 0.02}};
  }
  return record;
}

Json cheap_record(const Json& like, const ClassBench& bench, std::size_t run) {
  Json record = like;
  const ClassRun& read = bench.runs.at(run);
  const auto put = [](Json& json, const Uncertain& value) {
    json["value"] = value.value;
    json["u"] = value.u;
  };
  const std::string digest = sha256_hex(read.facts.id);
  record["id"] = "01900000-0000-7000-8000-" + digest.substr(0, 12);
  Json& temperatures = record.at("temperatures");
  put(temperatures["cup_at_mixing_degC"], read.facts.cup_degC);
  temperatures["added_at_mixing_degC"] = Json::object();
  put(temperatures["added_at_mixing_degC"], *read.facts.added_degC);
  put(record.at("corrected_rise_K"), read.facts.rise_K);
  put(record.at("heat_leak").at("rate_per_s"), *read.leak_per_s);
  put(record.at("heat_leak").at("rest_degC"), *read.rest_degC);
  return record;
}

void name_record(Json& record, const std::string& bench, const Sheet& sheet,
                 const std::string& trial, int number) {
  record["bench"] = bench;
  record["sheet"] = sheet_facts(sheet);
  record["trial"] = trial_facts(*sheet.find(trial), number);
}

void write_store(const std::string& path, const std::vector<Json>& records,
                 const std::string& text) {
  auto store = Store::open(path, StoreMode::write);
  if (!store) throw std::runtime_error(store.error().text);
  const Sheet sheet = parse_sheet(text, path).value();
  if (!store->keep_sheet(stored_sheet(sheet, 1'790'000'000'000'000))) {
    throw std::runtime_error("the sheet cannot be kept");
  }
  TimeUs at_us = 1'790'000'000'000'000;
  for (const Json& record : records) {
    at_us += 600'000'000;
    StoredRun run;
    run.id = record.at("id").get<std::string>();
    run.first_us = at_us;
    run.last_us = at_us + 300'000'000;
    run.status = "finished";
    run.record_json = record.dump();
    if (!store->add_run(run, {"finished", "", "bench", at_us})) {
      throw std::runtime_error("a run cannot be added");
    }
  }
  if (!store->checkpoint(true)) throw std::runtime_error("the store cannot be closed");
}

}  // namespace nestcup::classroom
