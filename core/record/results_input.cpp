#include "core/record/results_input.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "core/record/calibration_json.hpp"
#include "core/record/quantity_json.hpp"

namespace nestcup {

namespace {

const Json* probe_with_role(const Json& record, const std::string& role) {
  for (const Json& probe : record.at("probes")) {
    if (probe.at("role") == role) return &probe;
  }
  return nullptr;
}

/// Offset and slope of a probe near a temperature. A tolerance is a rectangular distribution
/// (JCGM 100:2008, 4.3.7).
ProbeError error_of(const Json& probe, double degC) {
  const std::string name = probe.at("name").get<std::string>();
  if (const auto calibration = calibration_in(probe)) {
    return {fmt::format("probe {}, calibration of {}", name,
                        probe.at("calibration").value("at", std::string("an unknown day"))),
            calibration->u_at_K(degC), calibration->u_slope};
  }
  const Json& told = probe.contains("tolerance_K") ? probe.at("tolerance_K") : Json(nullptr);
  const double tolerance_K = told.is_number() ? told.get<double>() : 0.0;
  return {"probe " + name, tolerance_K / std::sqrt(3.0),
          tolerance_K > 0.0 ? slope_u_of_tolerance(tolerance_K) : 0.0};
}

/// Takes the scale's line out of the rise's u.
void split_scale(const Json& rise, RunFacts& facts) {
  for (const Json& line : rise.at("budget")) {
    const std::string source = line.at("source").get<std::string>();
    if (!source.starts_with("scale of the probe")) continue;
    const double u_K = line.at("u").get<double>();
    facts.rise_K.u = std::sqrt(std::max(0.0, facts.rise_K.u * facts.rise_K.u - u_K * u_K));
    if (facts.rise_K.value != 0.0) facts.cup_probe.u_slope = u_K / std::abs(facts.rise_K.value);
    return;
  }
  facts.cup_probe.u_slope = 0.0;
}

RunFacts facts_of(const Json& record) {
  RunFacts facts;
  facts.id = record.at("id").get<std::string>();
  if (const Json& trial = record.at("trial"); !trial.is_null()) {
    facts.trial = trial.at("name").get<std::string>();
    facts.number = trial.at("number").get<int>();
  }
  const Json& temperatures = record.at("temperatures");
  facts.cup_degC = quantity_of(temperatures.at("cup_at_mixing_degC"));
  facts.rise_K = quantity_of(record.at("corrected_rise_K"));
  if (const Json* const cup = probe_with_role(record, "cup")) {
    facts.cup_probe = error_of(*cup, facts.cup_degC.value);
  }
  split_scale(record.at("corrected_rise_K"), facts);
  if (!temperatures.at("added_at_mixing_degC").is_null()) {
    facts.added_degC = quantity_of(temperatures.at("added_at_mixing_degC"));
    // Without a probe of its own the cup's has measured both.
    if (const Json* const added = probe_with_role(record, "added")) {
      facts.added_probe = error_of(*added, facts.added_degC->value);
    }
  }
  return facts;
}

}  // namespace

Result<RecordFacts> record_facts(const Json& record) {
  try {
    if (record.at("status") == "struck") return RecordFacts{{}, "struck out"};
    if (record.at("corrected_rise_K").at("value").is_null()) return RecordFacts{{}, "unusable"};
    return RecordFacts{facts_of(record), ""};
  } catch (const Json::exception& problem) {
    return Error{Fault::bad_data, fmt::format("is no run record: {}", problem.what())};
  }
}

}  // namespace nestcup
