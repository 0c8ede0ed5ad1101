#include "core/chemistry/typed_run.hpp"

#include <cmath>

#include "tests/chemistry/worked.hpp"

using namespace nestcup;
using namespace nestcup::testing;

namespace {

TypedTrial readings(double cup_degC, std::vector<TypedReading> later,
                    std::optional<double> u_degC = {}) {
  TypedTrial typed;
  typed.cup_degC = cup_degC;
  typed.readings = std::move(later);
  typed.u_degC = u_degC;
  return typed;
}

}  // namespace

TEST_CASE("readings are carried back along the least-squares line from the farthest on") {
  // At 20 s it still rises: the other four count.
  const TypedTrial typed =
      readings(21.0, {{20.0, 26.8}, {40.0, 27.6}, {60.0, 27.4}, {80.0, 27.3}, {100.0, 27.1}});
  // Times about their mean 70: -30, -10, 10, 30 (squares 2000); temperatures about 27.35: 0.25,
  // 0.05, -0.05, -0.25; products -7.5 - 0.5 - 0.5 - 7.5 = -16. Slope -0.008 K/s; at 0: 27.91.
  const Uncertain found = carried_back_degC(typed);
  CHECK(found.value == Approx(27.35 + 0.008 * 70.0));
  // Residuals 0.01, -0.03, 0.03, -0.01: squares 0.0020 over 2; times 1/4 + 70^2 / 2000 = 2.7.
  CHECK(found.u == Approx(std::sqrt(0.0010 * 2.7)));
  REQUIRE(found.dof);
  CHECK(*found.dof == 2.0);
}

TEST_CASE("the stated uncertainty counts where it is larger than the scatter") {
  const TypedTrial typed =
      readings(21.0, {{40.0, 27.6}, {60.0, 27.4}, {80.0, 27.3}, {100.0, 27.1}}, 0.1);
  const Uncertain found = carried_back_degC(typed);
  CHECK(found.u == Approx(0.1 * std::sqrt(2.7)));
  CHECK_FALSE(found.dof);
}

TEST_CASE("a fall is carried back as well, and two readings are a line") {
  const Uncertain fall =
      carried_back_degC(readings(25.0, {{10.0, 22.0}, {30.0, 20.0}, {60.0, 20.3}}, 0.05));
  CHECK(fall.value == Approx(19.7));
  // 1/2 + 45^2 / 450 = 5.
  CHECK(fall.u == Approx(0.05 * std::sqrt(5.0)));
}

TEST_CASE("a last reading that is the farthest stands alone") {
  const Uncertain found = carried_back_degC(readings(20.0, {{10.0, 22.0}, {30.0, 23.0}}, 0.05));
  CHECK(found.value == 23.0);
  CHECK(found.u == 0.05);
}

TEST_CASE("a typed run has independent temperatures, each with the stated uncertainty") {
  SheetTrial trial;
  trial.name = "oxide";
  TypedTrial typed;
  typed.cup_degC = 20.0;
  typed.added_degC = 22.0;
  typed.final_degC = 26.0;
  typed.u_degC = 0.1;
  const RunFacts facts = typed_run(trial, typed, 2);
  CHECK(facts.id == "typed 2");
  Inputs inputs;
  const RunTemperatures run = run_temperatures(facts, inputs);
  CHECK(run.rise_K.value() == Approx(6.0));
  CHECK(run.rise_K.u() == Approx(0.1 * std::sqrt(2.0)));
  CHECK(run.final_degC.u() == Approx(0.1));
  REQUIRE(run.added_degC);
  CHECK(covariance(*run.added_degC, run.cup_degC) == 0.0);
}

TEST_CASE("one probe for both: its offset leaves differences alone, its scale does not") {
  RunFacts facts;
  facts.id = "7";
  facts.cup_degC = {20.0, 0.0};
  facts.added_degC = Uncertain{60.0, 0.0};
  facts.rise_K = {18.0, 0.02};
  facts.cup_probe = {"probe A", 0.2, 0.001};
  Inputs inputs;
  const RunTemperatures run = run_temperatures(facts, inputs);
  CHECK(run.cup_degC.u() == Approx(0.2));
  CHECK(run.rise_K.u() == Approx(std::hypot(0.02, 0.018)));
  REQUIRE(run.added_degC);
  CHECK((*run.added_degC - run.cup_degC).value() == Approx(40.0));
  CHECK((*run.added_degC - run.cup_degC).u() == Approx(0.040));
  CHECK(run.final_degC.value() == Approx(38.0));
  // Two probes do not share their offsets.
  facts.added_probe = ProbeError{"probe B", 0.1, 0.0};
  const RunTemperatures two = run_temperatures(facts, inputs);
  CHECK((*two.added_degC - two.cup_degC).u() == Approx(std::hypot(0.2, 0.1)));
  // Another run with the same probe does.
  facts.id = "8";
  const RunTemperatures other = run_temperatures(facts, inputs);
  CHECK((other.cup_degC - two.cup_degC).u() == Approx(0.0).margin(1e-12));
  CHECK((other.rise_K - two.rise_K).u() == Approx(0.02 * std::sqrt(2.0)));
}

TEST_CASE("a temperature that the sheet gives is one error in all repeats") {
  const auto u_with = [](const std::string& typed) {
    return only_trial(sheet_head() +
                      "[[trial]]\nname = \"warm\"\npurpose = \"calorimeter constant\"\ncup = { "
                      "substance = \"water\", mass_g = 50.0 }\nadded = { substance = \"water\", "
                      "mass_g = 50.0, temperature_degC = 60.0, u_temperature_K = 0.3 }\ntyped = [" +
                      typed + "]\n")
        .constant_J_per_K->u();
  };
  const std::string run = "{ cup_degC = 20.0, final_degC = 39.0 },";
  CHECK(u_with(run + run + run + run) == Approx(u_with(run)));
}
