#include "sim/truth.hpp"

#include <fmt/format.h>
#include <unistd.h>

#include <cstdio>
#include <fstream>
#include <nlohmann/json.hpp>

namespace nestcup::sim {

namespace {

template <class T>
nlohmann::ordered_json or_null(const std::optional<T>& value) {
  if (!value) return nullptr;
  return *value;
}

}  // namespace

std::string truth_json(const TruthHead& head, const std::vector<TrialTruth>& truth) {
  nlohmann::ordered_json json;
  json["format"] = "nestcup-sim-truth";
  json["version"] = 1;
  json["scenario"] = head.scenario;
  json["seed"] = head.seed;
  json["started_wall_us"] = or_null(head.started_wall_us);
  json["speed"] = or_null(head.speed);
  json["mixings"] = nlohmann::ordered_json::array();
  for (const TrialTruth& trial : truth) {
    nlohmann::ordered_json entry;
    entry["trial"] = trial.trial;
    entry["number"] = trial.number;
    entry["mixing_time_s"] = trial.mixing_time_s;
    entry["corrected_rise_K"] = trial.corrected_rise_K;
    entry["cup_at_mixing_degC"] = trial.cup_at_mixing_degC;
    entry["added_degC"] = or_null(trial.added_degC);
    entry["final_degC"] = trial.final_degC;
    json["mixings"].push_back(entry);
  }
  return json.dump(2) + "\n";
}

Result<void> write_whole(const std::string& path, const std::string& text) {
  const std::string beside = fmt::format("{}.{}.part", path, ::getpid());
  std::ofstream file(beside, std::ios::binary);
  if (!file) return Error{Fault::cannot_create, path + ": cannot be created"};
  file << text;
  file.close();
  if (!file || std::rename(beside.c_str(), path.c_str()) != 0) {
    std::remove(beside.c_str());
    return Error{Fault::io, path + ": cannot be written"};
  }
  return {};
}

}  // namespace nestcup::sim
