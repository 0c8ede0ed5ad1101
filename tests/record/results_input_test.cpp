#include "core/record/results_input.hpp"

#include <cmath>

#include "tests/catch.hpp"

using namespace nestcup;

namespace {

Json quantity(double value, double u) {
  return {{"value", value}, {"u", u}};
}

Json probe(const std::string& name, const std::string& role, Json tolerance_K = nullptr) {
  return {{"name", name},
          {"role", role},
          {"tolerance_K", std::move(tolerance_K)},
          {"calibration", nullptr}};
}

/// What the chemistry looks at of a record.
Json oxide_record() {
  Json rise = quantity(6.2, 0.013);
  rise["dof"] = 210.0;
  rise["budget"] = {
      {{"source", "noise and digits"}, {"u", 0.005}, {"type", "A"}},
      {{"source", "scale of the probe, from its tolerance"}, {"u", 0.012}, {"type", "B"}}};
  return {{"id", "0190"},
          {"status", "finished"},
          {"trial", {{"name", "oxide"}, {"number", 2}}},
          {"probes", {probe("cup", "cup", 0.2), probe("jug", "added")}},
          {"temperatures",
           {{"cup_at_mixing_degC", quantity(21.3, 0.002)},
            {"added_at_mixing_degC", quantity(60.0, 0.02)},
            {"final_degC", quantity(27.5, 0.005)}}},
          {"corrected_rise_K", std::move(rise)}};
}

}  // namespace

TEST_CASE("the scale of the probe leaves the rise's u and is shared by all runs with the probe") {
  const auto found = record_facts(oxide_record());
  REQUIRE(found);
  REQUIRE(found->facts);
  const RunFacts& facts = *found->facts;
  CHECK(facts.id == "0190");
  CHECK(facts.trial == "oxide");
  CHECK(facts.number == 2);
  CHECK(facts.rise_K.u == Approx(0.005));
  CHECK(facts.rise_K.dof == 210.0);
  CHECK(facts.cup_probe.u_slope == Approx(0.012 / 6.2));
  CHECK(facts.cup_probe.u_offset_K == Approx(0.2 / std::sqrt(3.0)));
  REQUIRE(facts.added_probe);
  CHECK(facts.added_probe->key != facts.cup_probe.key);
  CHECK(facts.added_probe->u_offset_K == 0.0);

  Inputs inputs;
  const RunTemperatures one = run_temperatures(facts, inputs);
  const RunTemperatures other = run_temperatures(facts, inputs);
  CHECK(one.rise_K.u() == Approx(0.013));
  CHECK(covariance(one.rise_K, other.rise_K) == Approx(0.012 * 0.012));
  CHECK((one.cup_degC - other.cup_degC).u() == Approx(0.002 * std::sqrt(2.0)));
}

TEST_CASE("without a second probe the cup's has read both, and its offset cancels") {
  Json single = oxide_record();
  single["probes"].erase(1);
  const auto found = record_facts(single);
  REQUIRE(found);
  CHECK_FALSE(found->facts->added_probe);
  Inputs inputs;
  const RunTemperatures run = run_temperatures(*found->facts, inputs);
  // What is left: each temperature's own u, and the scale over the difference.
  const double scale_K = 0.012 / 6.2 * 38.7;
  CHECK((*run.added_degC - run.cup_degC).u() ==
        Approx(std::sqrt(0.02 * 0.02 + 0.002 * 0.002 + scale_K * scale_K)));
}

TEST_CASE("struck and unusable runs are left out with a word, damaged records are errors") {
  Json struck = oxide_record();
  struck["status"] = "struck";
  CHECK(record_facts(struck)->left_out == "struck out");
  Json unusable = oxide_record();
  unusable["corrected_rise_K"]["value"] = nullptr;
  CHECK(record_facts(unusable)->left_out == "unusable");
  Json damaged = oxide_record();
  damaged.erase("temperatures");
  const auto found = record_facts(damaged);
  REQUIRE_FALSE(found);
  CHECK(found.error().kind == Fault::bad_data);
  CHECK(found.error().text.find("temperatures") != std::string::npos);
  CHECK_FALSE(record_facts(Json(7)));
}
