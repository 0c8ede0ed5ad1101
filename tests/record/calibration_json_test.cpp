// Calibrations in records: nothing is lost on the way, the tolerance gives way, and age is told.
#include "core/record/calibration_json.hpp"

#include <cmath>

#include "core/record/replay.hpp"
#include "sim/one_trial.hpp"
#include "sim/simulate.hpp"
#include "tests/catch.hpp"

using namespace nestcup;

namespace {

constexpr TimeUs began_us = 1'780'000'000'123'456;

StoredCalibration line_made(double days_before) {
  StoredCalibration row;
  row.number = 2;
  row.wall_us = began_us - to_us(days_before * 86400.0);
  row.calibration = {CalibrationKind::line, 1.0 / 0.03, -1.0 / 7.0, 1.0 / 811.0, 0.01, 2e-3, 0.0};
  row.points_json = R"([{"true_degC":0.0},{"true_degC":99.6},{"true_degC":25.0}])";
  return row;
}

Json probe_with(ProbeRole role, const Json& calibration) {
  ProbeFacts facts;
  facts.name = role_name(role);
  facts.role = role;
  facts.tolerance_K = 0.5;
  facts.calibration = calibration;
  return probe_json(facts);
}

/// The record of a simulated trial (true rise 8.5 K or so) on a bench with this probe.
Json record_with(const Json& probe) {
  auto trace = parse_trace(trace_csv(sim::simulate(sim::one_trial_scenario(sim::OneTrial{}), 3)),
                           "made.csv");
  REQUIRE(trace);
  const auto replayed = replay_trace(*trace, {}, [] { return std::string("one"); });
  REQUIRE(replayed.size() == 1);
  RecordContext context;
  context.source = "bench";
  context.probes.push_back(probe);
  context.started_wall_us = began_us;
  return make_record(replayed[0].run, trace->roles, context, "one", 0).record;
}

Json budget_line(const Json& record, const std::string& source) {
  for (const Json& line : record.at("corrected_rise_K").at("budget")) {
    if (line.at("source") == source) return line;
  }
  return nullptr;
}

}  // namespace

TEST_CASE("a calibration goes through the JSON of a record bit for bit") {
  const StoredCalibration row = line_made(10.0);
  const Json json = Json::parse(calibration_json(row, 365.0).dump());
  const auto back = calibration_in(Json{{"calibration", json}});
  REQUIRE(back);
  const Calibration& c = row.calibration;
  CHECK((back->kind == c.kind && back->reference_degC == c.reference_degC));
  CHECK((back->offset_K == c.offset_K && back->slope == c.slope));
  CHECK((back->u_offset_K == c.u_offset_K && back->u_slope == c.u_slope));
  CHECK(json.at("points") == 3);
  CHECK(json.at("from_degC") == 0.0);
  CHECK(json.at("to_degC") == 99.6);
  CHECK_FALSE(calibration_in(Json{{"calibration", nullptr}}));
  CHECK_FALSE(calibration_in(Json{{"calibration", {{"kind", "line"}}}}));
  CHECK_FALSE(calibration_in(Json::object()));
}

TEST_CASE("in the budget a calibration replaces the tolerance") {
  const Json bought = record_with(probe_with(ProbeRole::cup, nullptr));
  const Json calibrated =
      record_with(probe_with(ProbeRole::cup, calibration_json(line_made(10.0), 365.0)));
  const std::string by_tolerance = "scale of the probe, from its tolerance";
  const std::string by_calibration = "scale of the probe, from its calibration";
  CHECK_FALSE(budget_line(bought, by_tolerance).is_null());
  CHECK(budget_line(bought, by_calibration).is_null());
  CHECK(budget_line(calibrated, by_tolerance).is_null());
  const double rise_K = calibrated.at("corrected_rise_K").at("value").get<double>();
  const double u_K = budget_line(calibrated, by_calibration).at("u").get<double>();
  CHECK_THAT(u_K, WithinAbs(std::abs(rise_K) / (1.0 + 1.0 / 811.0) * 2e-3, 1e-9));
  CHECK(calibrated.at("findings").empty());
}

TEST_CASE("an old calibration is told, of the cup and the second vessel, not of the room") {
  const auto age = [](ProbeRole role, double days, double valid) {
    const Json probes = Json::array({probe_with(role, calibration_json(line_made(days), valid))});
    return oldest_calibration(probes, began_us);
  };
  REQUIRE(age(ProbeRole::added, 400.0, 365.0));
  CHECK_THAT(age(ProbeRole::added, 400.0, 365.0)->age_days, WithinAbs(400.0, 1e-6));
  CHECK(age(ProbeRole::added, 400.0, 90.0)->valid_days == 90.0);
  CHECK_FALSE(age(ProbeRole::room, 400.0, 365.0));
  CHECK_FALSE(oldest_calibration(Json::array({probe_with(ProbeRole::cup, nullptr)}), began_us));
  const Json record =
      record_with(probe_with(ProbeRole::cup, calibration_json(line_made(366.0), 365.0)));
  REQUIRE(record.at("findings").size() == 1);
  CHECK(record.at("findings")[0].at("code") == "calibration-old");
  CHECK_THAT(record.at("findings")[0].at("text").get<std::string>(), ContainsSubstring("366 days"));
}

TEST_CASE("a stored row says what its kind has, and no more") {
  using Kind = StoredCalibration::Kind;
  StoredCalibration row = line_made(3.0);
  row.who = "Ann";
  CHECK(stored_calibration_json(row).contains("slope_K_per_K"));
  CHECK_FALSE(stored_calibration_json(row).contains("against"));
  row.points_json = "no JSON";
  row.other = "added";
  row.value = {0.25, 0.01, 4.0};
  for (const Kind kind : {Kind::none, Kind::again, Kind::difference, Kind::time_constant}) {
    row.kind = kind;
    row.again = kind == Kind::again ? std::optional(1) : std::nullopt;
    const Json json = stored_calibration_json(row);
    INFO(json.dump());
    CHECK_FALSE(json.contains("slope_K_per_K"));
    CHECK(json.contains("difference_K") == (kind == Kind::difference));
    CHECK(json.contains("time_constant_s") == (kind == Kind::time_constant));
    CHECK(json.contains("again") == (kind == Kind::again));
    CHECK(json.at("against") == "added");
    CHECK(json.at("points") == Json::array());
    CHECK(json.at("who") == "Ann");
  }
  row.kind = Kind::difference;
  CHECK(stored_calibration_json(row).at("difference_K").at("value") == 0.25);
}
