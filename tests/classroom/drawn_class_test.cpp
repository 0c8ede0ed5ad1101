// Classes drawn from the heat balance: mishaps are named, and sound benches are not.
#include <algorithm>
#include <cmath>

#include "core/classroom/class_figure.hpp"
#include "core/classroom/class_result.hpp"
#include "tests/catch.hpp"
#include "tests/classroom/class_day.hpp"

using namespace nestcup;
using namespace nestcup::classroom;

namespace {

ClassResult drawn_result(std::uint64_t seed, std::size_t benches,
                         const std::map<std::size_t, Mishap>& mishaps) {
  std::vector<ClassBench> read;
  for (const DayBench& bench : drawn_class(seed, benches, mishaps)) {
    read.push_back(read_cheaply(bench, seed));
  }
  return class_result(std::move(read));
}

const Reason* reason_with(const BenchJudgement& judgement, const std::string& code) {
  for (const Reason& reason : judgement.reasons) {
    if (reason.code == code) return &reason;
  }
  return nullptr;
}

/// All reasons, for messages of failed tests.
std::string all_of(const BenchJudgement& judgement) {
  std::string text;
  for (const Reason& reason : judgement.reasons) {
    text += reason.code + " (" + std::string(trust_name(reason.trust)) + "): " + reason.text + "\n";
  }
  return text;
}

double value_of(const Reason& reason, const std::string& name) {
  for (const auto& [key, value] : reason.values) {
    if (key == name) return value;
  }
  return std::nan("");
}

}  // namespace

TEST_CASE("a class finds what is true, with the spread that was put in") {
  const ClassResult result = drawn_result(1, 30, {});
  REQUIRE(result.quantities.size() == 4);
  const double truths[] = {25.0, neutralisation_kJ_per_mol, ammonia_kJ_per_mol,
                           ammonia_kJ_per_mol - neutralisation_kJ_per_mol};
  for (std::size_t i = 0; i < 4; ++i) {
    const ClassQuantity& quantity = result.quantities[i];
    INFO(quantity.name.what << " " << quantity.name.trial);
    CHECK(quantity.benches.size() == 30);
    const double sign = i == 3 ? -1.0 : 1.0;
    CHECK(std::abs(quantity.robust->mean - sign * truths[i]) < 4.0 * quantity.robust->u_mean);
    CHECK(quantity.runs == (i == 3 ? 0U : 60U));
  }
  // Strengths differ by 1 %, and so do enthalpies between benches; two of one bench share it.
  const BetweenWithin& spread = *result.quantities[1].spread;
  CHECK(spread.between_sd > 0.4);
  CHECK(spread.between_sd < 1.0);
  CHECK(spread.probability < 0.001);
}

TEST_CASE("the wrong bottle is named, and what the bottle was") {
  const auto [mishap, bottle] = GENERATE(table<Mishap, std::string>(
      {{Mishap::dilute_bottle, "dilute acid"}, {Mishap::strong_bottle, "strong acid"}}));
  const std::uint64_t seed = GENERATE(range(1, 11));
  INFO(bottle << ", seed " << seed);
  const ClassResult result = drawn_result(seed, 10, {{3, mishap}});
  INFO(all_of(result.judgements[3]));
  const Reason* const reason = reason_with(result.judgements[3], "other-stock");
  REQUIRE(reason != nullptr);
  CHECK(reason == &result.judgements[3].reasons.front());
  CHECK(reason->trust == Trust::strong);
  CHECK(reason->text.find(bottle) != std::string::npos);
  CHECK(reason->trials == std::vector<std::string>{"neutralisation", "ammonia"});
}

TEST_CASE("a stock that is weaker than stated is named with its strength") {
  const std::uint64_t seed = GENERATE(range(1, 11));
  INFO("seed " << seed);
  const ClassResult result = drawn_result(seed, 10, {{6, Mishap::weak_acid}});
  INFO(all_of(result.judgements[6]));
  const Reason* const reason = reason_with(result.judgements[6], "strength");
  REQUIRE(reason != nullptr);
  const double found = value_of(*reason, "as_if_mol_per_L");
  // The acid was drawn within 1 % before it was made weaker.
  const double u = std::hypot(value_of(*reason, "u_as_if_mol_per_L"), 0.0085);
  CHECK(std::abs(found - 0.85) <= 3.0 * u);
  CHECK(value_of(*reason, "stated_mol_per_L") == 1.0);
}

TEST_CASE("a lid that is off is named") {
  const std::uint64_t seed = GENERATE(range(1, 11));
  INFO("seed " << seed);
  const ClassResult result = drawn_result(seed, 10, {{2, Mishap::lid_off}});
  const Reason* const reason = reason_with(result.judgements[2], "lid-off");
  REQUIRE(reason != nullptr);
  CHECK(reason->trust == Trust::strong);
  // Cups differ by 10 %.
  CHECK(std::abs(std::log(value_of(*reason, "leak_ratio") / 2.2)) < 0.35);
  CHECK(reason->text.find("evaporates") != std::string::npos);
}

TEST_CASE("a probe whose scale is off is among what fits") {
  const std::uint64_t seed = GENERATE(range(1, 6));
  INFO("seed " << seed);
  const ClassResult result = drawn_result(seed, 12, {{5, Mishap::probe_scale}});
  INFO(all_of(result.judgements[5]));
  // Nothing but the acid's strength moves both enthalpies alike, and not the constant.
  const Reason* const scale = reason_with(result.judgements[5], "cup-scale");
  const Reason* const strength = reason_with(result.judgements[5], "strength");
  REQUIRE((scale != nullptr || strength != nullptr));
  CHECK(result.judgements[5].reasons.front().trust != Trust::weak);
  if (scale == nullptr) return;
  CHECK(std::abs(value_of(*scale, "as_if") - 0.07) <= 3.0 * value_of(*scale, "u_as_if"));
}

TEST_CASE("sound benches are hardly ever said to have had a mishap", "[many]") {
  int named = 0, outlying = 0, benches = 0;
  constexpr int classes = 100;
  for (std::uint64_t seed = 1; seed <= classes; ++seed) {
    const ClassResult result =
        drawn_result(seed, 10, {{0, Mishap::lid_off}, {1, Mishap::dilute_bottle}});
    for (std::size_t bench = 2; bench < result.judgements.size(); ++bench) {
      const BenchJudgement& judgement = result.judgements[bench];
      ++benches;
      outlying += judgement.outlying.empty() ? 0 : 1;
      named += std::any_of(judgement.reasons.begin(), judgement.reasons.end(),
                           [](const Reason& reason) { return reason.trust != Trust::weak; })
                   ? 1
                   : 0;
    }
  }
  INFO(named << " named and " << outlying << " outlying of " << benches);
  CHECK(named <= benches / 100);
  CHECK(outlying <= benches / 30);
}

TEST_CASE("a class's figures are ready for a chart") {
  const ClassResult result = drawn_result(1, 8, {{3, Mishap::dilute_bottle}});
  const auto figures = class_figures(result);
  REQUIRE(figures.size() == 4);
  CHECK(figures[1].quantity == "neutralisation: enthalpy at 25 degC");
  CHECK(figures[1].unit == "kJ/mol");
  REQUIRE(figures[1].benches.size() == 8);
  CHECK(figures[1].benches[3].outlying);
  CHECK_FALSE(figures[1].benches[4].outlying);
  CHECK(figures[1].benches[0].runs.size() == 2);
  CHECK(figures[1].robust_mean == Approx(-57.5).epsilon(0.03));
  CHECK(figures[1].accepted);
}

TEST_CASE("one bench alone, and an empty class") {
  CHECK(class_result({}).quantities.empty());
  const ClassResult one = drawn_result(1, 1, {});
  CHECK(one.quantities.size() == 4);
  CHECK_FALSE(one.quantities[1].robust);
  CHECK_FALSE(one.quantities[1].benches[0].z);
  const ClassResult two = drawn_result(1, 2, {});
  CHECK(two.quantities[1].robust);
  CHECK_FALSE(two.quantities[1].benches[0].z);
  CHECK(two.quantities[1].benches[0].E_n);
}
