#include "daemon/api/hidden_results.hpp"

#include <array>
#include <string_view>

namespace nestcup::daemon {
namespace {

using Json = nlohmann::ordered_json;

// Only what stands here is shown, so that an outcome that is added to records one day stays hidden.
constexpr std::array<std::string_view, 22> open_keys{"format",
                                                     "version",
                                                     "id",
                                                     "revision",
                                                     "status",
                                                     "source",
                                                     "bench",
                                                     "sheet",
                                                     "trial",
                                                     "started_at",
                                                     "mixed_at",
                                                     "finished_at",
                                                     "clock_synchronised",
                                                     "probes",
                                                     "periods",
                                                     "mixing",
                                                     "after_period_wanted_s",
                                                     "heater",
                                                     "timed_readings",
                                                     "findings",
                                                     "readings",
                                                     "software"};

Json nothing_known() {
  return {{"value", nullptr}, {"u", nullptr}};
}

Json copied(const Json& from, const auto& keys) {
  Json to = Json::object();
  for (const std::string_view key : keys) {
    if (const auto found = from.find(key); found != from.end()) to[std::string(key)] = *found;
  }
  return to;
}

Json masked_trial(const Json& trial) {
  return copied(trial, std::array<std::string_view, 3>{"name", "purpose", "runs"});
}

}  // namespace

bool hides_from(const Bench& bench, const Request& request) {
  return bench.results_hidden() && !request.peer;
}

Json masked_record(const Json& record) {
  Json masked = copied(record, open_keys);
  Json temperatures =
      copied(record.at("temperatures"),
             std::array<std::string_view, 2>{"cup_at_mixing_degC", "added_at_mixing_degC"});
  temperatures["final_degC"] = nothing_known();
  masked["temperatures"] = std::move(temperatures);
  masked["corrected_rise_K"] = {
      {"value", nullptr}, {"u", nullptr}, {"method", nullptr}, {"budget", Json::array()}};
  masked["mixture_rise_K"] = nullptr;
  masked["estimates_K"] = Json::array();
  masked["heat_leak"] = {{"rate_per_s", nothing_known()}, {"rest_degC", nothing_known()}};
  masked["hidden"] = true;
  return masked;
}

Json masked_results(const Json& results) {
  Json masked{{"calorimeter_constant_J_per_K", nullptr},
              {"calorimeter_constant_budget", Json::array()},
              {"conventions", results.at("conventions")},
              {"trials", Json::array()},
              {"cycle", nullptr},
              {"findings", Json::array()},
              {"hidden", true}};
  for (const Json& trial : results.at("trials")) masked["trials"].push_back(masked_trial(trial));
  return masked;
}

}  // namespace nestcup::daemon
