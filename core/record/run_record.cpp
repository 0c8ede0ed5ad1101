#include "core/record/run_record.hpp"

#include <algorithm>
#include <cmath>

#include "core/base/digest.hpp"
#include "core/base/time_text.hpp"
#include "core/base/version.hpp"
#include "core/record/calibration_json.hpp"
#include "core/record/quantity_json.hpp"
#include "core/record/seal.hpp"

namespace nestcup {
namespace {

Json or_null(const std::optional<std::string>& text) {
  return text ? Json(*text) : Json(nullptr);
}
Json or_null(const std::optional<double>& value) {
  return value ? Json(*value) : Json(nullptr);
}
Json or_null(const std::optional<bool>& value) {
  return value ? Json(*value) : Json(nullptr);
}

Json unknown_quantity() {
  return Json{{"value", nullptr}, {"u", nullptr}};
}

/// Axis times keep their microseconds and no more.
double micro(double time_s) {
  return std::round(time_s * 1e6) / 1e6;
}

Json period_json(const Period& period, double offset_s) {
  return Json{{"start_s", micro(period.start_s + offset_s)},
              {"end_s", micro(period.end_s + offset_s)}};
}

Json wall_time(const RecordContext& context, double since_first_s) {
  if (!context.started_wall_us) return nullptr;
  return rfc3339(*context.started_wall_us + to_us(since_first_s));
}

Json rise_json(const RunAnalysis& run) {
  if (!run.usable()) {
    return Json{{"value", nullptr}, {"u", nullptr}, {"method", nullptr}, {"budget", Json::array()}};
  }
  Json json{{"value", run.rise.value_K}, {"u", run.rise.u_K}};
  if (run.rise.dof) json["dof"] = *run.rise.dof;
  json["method"] = run.rise.method;
  json["budget"] = Json::array();
  for (const BudgetLine& line : run.rise.budget) {
    json["budget"].push_back(
        {{"source", line.source}, {"u", line.u_K}, {"type", std::string(1, line.type)}});
  }
  return json;
}

Json estimates_json(const RunAnalysis& run) {
  Json list = Json::array();
  for (const RiseEstimate& estimate : run.estimates) {
    list.push_back({{"method", estimate.method},
                    {"value", estimate.value_K},
                    {"u", estimate.u_K},
                    {"used", run.usable() && estimate.method == run.rise.method},
                    {"note", estimate.note}});
  }
  return list;
}

Json leak_json(const RunAnalysis& run) {
  if (!run.leak) return Json{{"rate_per_s", unknown_quantity()}, {"rest_degC", unknown_quantity()}};
  const double rate = run.leak->rate_per_s();
  const auto& covariance = run.leak->covariance;
  return Json{
      {"rate_per_s", quantity_json({rate, rate * std::sqrt(covariance(2, 2)), run.leak->dof})},
      {"rest_degC",
       quantity_json({run.leak->rest_degC, std::sqrt(covariance(1, 1)), run.leak->dof})}};
}

Json temperatures_json(const RunAnalysis& run) {
  if (!run.usable()) {
    return Json{{"cup_at_mixing_degC", unknown_quantity()},
                {"added_at_mixing_degC", nullptr},
                {"final_degC", unknown_quantity()}};
  }
  return Json{{"cup_at_mixing_degC", quantity_json(run.cup_at_mixing_degC)},
              {"added_at_mixing_degC",
               run.added_at_mixing_degC ? quantity_json(*run.added_at_mixing_degC) : Json(nullptr)},
              {"final_degC", quantity_json(run.final_degC)}};
}

Json timed_json(const RunAnalysis& run) {
  Json list = Json::array();
  for (const TimedReading& reading : run.timed_readings) {
    list.push_back({{"after_mixing_s", reading.after_mixing_s},
                    {"cup_degC", std::round(reading.cup_degC * 1e4) / 1e4}});
  }
  return list;
}

Json findings_json(const RunAnalysis& run) {
  Json list = Json::array();
  for (const Finding& finding : run.findings) {
    Json values = Json::object();
    for (const auto& [name, value] : finding.values) values[name] = value;
    list.push_back({{"code", finding.code},
                    {"severity", severity_name(finding.severity)},
                    {"values", values},
                    {"text", finding_text(finding)}});
  }
  return list;
}

Json software_json() {
  const std::string commit = commit_text;
  return Json{{"version", version_text},
              {"analysis", analysis_version},
              {"commit", commit.empty() ? Json(nullptr) : Json(commit)}};
}

/// What the facts of the probes tell the analysis.
void take_facts(const RecordContext& context, RunInput& input) {
  for (const Json& probe : context.probes) {
    if (probe.value("role", "") != role_name(ProbeRole::cup)) continue;
    const auto tolerance = probe.find("tolerance_K");
    const bool told = tolerance != probe.end() && tolerance->is_number();
    if (told && !input.tolerance_K) input.tolerance_K = tolerance->get<double>();
    if (!input.calibration) input.calibration = calibration_in(probe);
  }
  if (context.started_wall_us) {
    input.calibration_age = oldest_calibration(context.probes, *context.started_wall_us);
  }
}

}  // namespace

Json probe_json(const ProbeFacts& probe) {
  return Json{{"name", probe.name},
              {"role", role_name(probe.role)},
              {"port", or_null(probe.port)},
              {"protocol", or_null(probe.protocol)},
              {"transducer", or_null(probe.transducer)},
              {"raw_unit", or_null(probe.raw_unit)},
              {"tolerance_K", or_null(probe.tolerance_K)},
              {"calibration", probe.calibration},
              {"time_constant_s", probe.time_constant_s}};
}

RawUnits raw_units_of(const Json& probes) {
  RawUnits units;
  for (const Json& probe : probes) {
    const auto unit = probe.find("raw_unit");
    const bool known = unit != probe.end() && unit->is_string();
    units.push_back(known ? std::optional(unit->get<std::string>()) : std::nullopt);
  }
  return units;
}

MadeRecord make_record(const FinishedRun& run, const std::vector<ProbeRole>& roles,
                       const RecordContext& context, const std::string& id, TimeUs origin_us) {
  MadeRecord made;
  RunInput input = run_input(run, roles);
  take_facts(context, input);
  made.analysis = analyse_run(input);
  const RunAnalysis& result = made.analysis;
  const TimeUs first_us = run.readings.empty() ? origin_us : run.readings.front().time_us;
  const double offset_s = to_s(first_us - origin_us);
  const double last_s = run.readings.empty() ? 0.0 : to_s(run.readings.back().time_us - first_us);
  Uncertain mixing = result.mixing_time_s;
  mixing.value = micro(mixing.value + offset_s);
  Json& json = made.record;
  json = Json{{"format", "nestcup-run"},
              {"version", 1},
              {"id", id},
              {"revision", 1},
              {"status", "finished"},
              {"source", context.source},
              {"bench", or_null(context.bench)},
              {"sheet", context.sheet},
              {"trial", context.trial},
              {"started_at", wall_time(context, 0.0)},
              {"mixed_at", wall_time(context, result.mixing_time_s.value)},
              {"finished_at", wall_time(context, last_s)},
              {"clock_synchronised", or_null(context.clock_synchronised)},
              {"probes", context.probes}};
  json["periods"] = {{"fore", period_json(result.fore, offset_s)},
                     {"main", period_json(result.main, offset_s)},
                     {"after", period_json(result.after, offset_s)}};
  json["mixing"] = {{"time_s", quantity_json(mixing)},
                    {"found_by", found_by_name(result.found_by)},
                    {"mark_s", input.mark_s ? Json(micro(*input.mark_s + offset_s)) : Json()},
                    {"marked_by_switch", input.marked_by == FoundBy::line_signal}};
  json["temperatures"] = temperatures_json(result);
  json["corrected_rise_K"] = rise_json(result);
  json["mixture_rise_K"] = nullptr;
  json["estimates_K"] = estimates_json(result);
  json["heat_leak"] = leak_json(result);
  json["after_period_wanted_s"] = run.after_period_s;
  json["heater"] = run.heater;
  json["timed_readings"] = timed_json(result);
  json["findings"] = findings_json(result);
  json["readings"] = {{"count", run.readings.size()},
                      {"sha256", sha256_hex(trace_text(run.readings, roles,
                                                       raw_units_of(context.probes), origin_us))}};
  json["software"] = software_json();
  seal(json);
  return made;
}

Json with_status(Json record, const std::string& status, int revision) {
  record["status"] = status;
  record["revision"] = revision;
  return record;
}

}  // namespace nestcup
