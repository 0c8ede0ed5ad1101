// What is said of a bench that lies off, beside the mishaps of drawn classes.
#include "core/classroom/reason.hpp"

#include <algorithm>

#include "core/classroom/class_result.hpp"
#include "core/classroom/suspect.hpp"
#include "tests/catch.hpp"
#include "tests/classroom/class_day.hpp"

using namespace nestcup;
using namespace nestcup::classroom;

namespace {

/// Ten sound benches, the fifth (index 4) to be spoilt.
std::vector<ClassBench> sound_class() {
  std::vector<ClassBench> read;
  for (const DayBench& bench : drawn_class(2, 10, {})) read.push_back(read_cheaply(bench, 2));
  return read;
}

constexpr std::size_t spoilt = 4;

/// Multiplies the rises of one trial.
void stretch(ClassBench& bench, const std::string& trial, double factor) {
  for (ClassRun& run : bench.runs) {
    if (run.facts.trial == trial) run.facts.rise_K.value *= factor;
  }
}

std::vector<std::string> codes_of(const BenchJudgement& judgement) {
  std::vector<std::string> codes;
  for (const Reason& reason : judgement.reasons) codes.push_back(reason.code);
  return codes;
}

bool has(const std::vector<std::string>& codes, const std::string& code) {
  return std::find(codes.begin(), codes.end(), code) != codes.end();
}

const Suspect& suspect_of(const std::vector<Suspect>& all, SuspectKind kind) {
  return *std::find_if(all.begin(), all.end(),
                       [&](const Suspect& suspect) { return suspect.kind == kind; });
}

}  // namespace

TEST_CASE("what no single cause explains is said to be unexplained") {
  auto read = sound_class();
  stretch(read[spoilt], "neutralisation", 1.12);
  stretch(read[spoilt], "ammonia", 0.88);
  const ClassResult result = class_result(std::move(read));
  const BenchJudgement& judgement = result.judgements[spoilt];
  CHECK(judgement.outlying.size() >= 2);
  CHECK(codes_of(judgement) == std::vector<std::string>{"unexplained"});
  CHECK(judgement.reasons.front().trust == Trust::weak);
}

TEST_CASE("one trial that lies off leads to what that trial alone uses") {
  auto read = sound_class();
  stretch(read[spoilt], "ammonia", 1.07);
  const ClassResult result = class_result(std::move(read));
  const auto& reasons = result.judgements[spoilt].reasons;
  REQUIRE_FALSE(reasons.empty());
  for (const Reason& reason : reasons) {
    INFO(reason.text);
    CHECK(reason.trust != Trust::strong);
    CHECK(reason.trials == std::vector<std::string>{"ammonia"});
  }
  CHECK(has(codes_of(result.judgements[spoilt]), "amount"));
}

TEST_CASE("runs that lie apart are told by Cochran's test") {
  auto read = sound_class();
  read[spoilt].runs[2].facts.rise_K.value *= 1.03;
  read[spoilt].runs[3].facts.rise_K.value *= 0.97;
  const ClassResult result = class_result(std::move(read));
  CHECK(has(codes_of(result.judgements[spoilt]), "runs-apart"));
  CHECK(result.quantities[1].benches[spoilt].scatter == Standing::outlier);
}

TEST_CASE("warnings in the records of a bench that lies off are told, unless many have them") {
  const RunFinding finding{"stirring-off", Severity::warning, "The liquid lay in layers."};
  auto read = sound_class();
  stretch(read[spoilt], "neutralisation", 1.12);
  stretch(read[spoilt], "ammonia", 0.88);
  for (ClassRun& run : read[spoilt].runs) run.findings.push_back(finding);
  auto common = read;
  const ClassResult alone = class_result(std::move(read));
  const auto codes = codes_of(alone.judgements[spoilt]);
  CHECK(codes == std::vector<std::string>{"findings"});
  CHECK(alone.judgements[spoilt].reasons.front().text.find("lay in layers") != std::string::npos);
  for (std::size_t i = 5; i < 9; ++i) common[i].runs.front().findings.push_back(finding);
  const ClassResult many = class_result(std::move(common));
  CHECK(codes_of(many.judgements[spoilt]) == std::vector<std::string>{"unexplained"});
}

TEST_CASE("what was struck out at a bench that lies off is named with its reason") {
  auto read = sound_class();
  stretch(read[spoilt], "neutralisation", 1.12);
  stretch(read[spoilt], "ammonia", 0.88);
  read[spoilt].left_out = {{"run 9", "ammonia", "struck out", "spilt"}};
  read[0].left_out = {{"run 9", "ammonia", "struck out", "spilt"}};
  const ClassResult result = class_result(std::move(read));
  const auto codes = codes_of(result.judgements[spoilt]);
  CHECK(codes == std::vector<std::string>{"unexplained", "struck-runs"});
  CHECK(result.judgements[spoilt].reasons.back().text.find("run 9 (spilt)") != std::string::npos);
  CHECK(result.judgements[0].reasons.empty());
}

TEST_CASE("one run with the lid off among sound ones is named alone") {
  auto read = sound_class();
  read[spoilt].runs[4].leak_per_s->value *= 2.5;
  const ClassResult result = class_result(std::move(read));
  REQUIRE(codes_of(result.judgements[spoilt]) == std::vector<std::string>{"lid-off"});
  const Reason& reason = result.judgements[spoilt].reasons.front();
  CHECK(reason.trust == Trust::fair);
  CHECK(reason.text.find("in run 5 (ammonia)") != std::string::npos);
}

TEST_CASE("in a class of three nobody's leak is far") {
  auto read = sound_class();
  read.resize(3);
  for (ClassRun& run : read[1].runs) run.leak_per_s->value *= 3.0;
  for (const BenchJudgement& judgement : class_result(std::move(read)).judgements) {
    REQUIRE(judgement.leak);
    CHECK(judgement.leak->far.empty());
  }
}

TEST_CASE("a supposition changes what it names, and nothing else") {
  const ClassBench bench = sound_class().front();
  const Supposed stated = condensed(*bench.sheet, facts_of(bench));
  CHECK(stated.runs.size() == 3);
  CHECK_FALSE(stated.sheet.cycle);
  const auto suspects = suspects_of(stated);
  const auto supposed = [&](SuspectKind kind, double value) {
    return supposing(stated, suspect_of(suspects, kind), value);
  };
  CHECK(supposed(SuspectKind::strength, 0.7).sheet.stocks[0].concentration_mol_per_L == 0.7);
  CHECK(supposed(SuspectKind::other_stock, 0.0).sheet.trials[1].added->stock == 1);
  const Supposed exchanged = supposed(SuspectKind::exchanged_stocks, 0.0);
  CHECK(exchanged.sheet.trials[1].added->stock == 1);
  CHECK(exchanged.sheet.trials[1].cup->stock == 0);
  const Supposed more = supposed(SuspectKind::cylinder, 2.0);
  CHECK(more.sheet.trials[0].cup->volume_mL == 52.0);
  CHECK(more.sheet.trials[2].added->volume_mL == 52.0);
  const Supposed scaled = supposed(SuspectKind::cup_scale, 0.05);
  CHECK(scaled.runs[1].rise_K.value == Approx(stated.runs[1].rise_K.value / 1.05));
  CHECK(scaled.runs[1].added_degC->value == stated.runs[1].added_degC->value);
  const Supposed lower = supposed(SuspectKind::added_offset, 0.5);
  CHECK(lower.runs[0].added_degC->value == Approx(stated.runs[0].added_degC->value - 0.5));
  CHECK(supposed(SuspectKind::amount, 40.0).sheet.trials[0].cup->volume_mL == 40.0);
  // The sheet has no balance and no given constant.
  for (const SuspectKind none : {SuspectKind::balance, SuspectKind::constant}) {
    CHECK(std::none_of(suspects.begin(), suspects.end(),
                       [&](const Suspect& suspect) { return suspect.kind == none; }));
  }
}

TEST_CASE("what a sheet gives otherwise is looked at, too") {
  const ClassBench bench = sound_class().front();
  Supposed given = condensed(*bench.sheet, facts_of(bench));
  Sheet& sheet = given.sheet;
  sheet.stocks[0].concentration_mol_per_L.reset();
  sheet.stocks[0].mass_fraction = 0.06;
  sheet.stocks[0].u_mass_fraction = 0.001;
  sheet.calorimeter.constant_J_per_K = 12.0;
  SheetTrial& trial = sheet.trials[0];
  trial.added->volume_mL.reset();
  trial.added->mass_g = 49.0;
  trial.added->u_mass_g = 0.2;
  trial.added->temperature_degC = 21.5;
  for (RunFacts& run : given.runs) {
    if (run.trial == trial.name) run.added_degC.reset();
  }
  const auto suspects = suspects_of(given);

  const Suspect& strength = suspect_of(suspects, SuspectKind::strength);
  CHECK(strength.stated == 0.06);
  CHECK(strength.u_stated == 0.001);
  CHECK(strength.high < 1.0);
  CHECK(supposing(given, strength, 0.08).sheet.stocks[0].mass_fraction == 0.08);
  const Suspect& constant = suspect_of(suspects, SuspectKind::constant);
  CHECK(constant.stated == 12.0);
  CHECK(supposing(given, constant, 30.0).sheet.calorimeter.constant_J_per_K == 30.0);
  const Suspect& warmth = suspect_of(suspects, SuspectKind::added_temperature);
  CHECK(warmth.trial == trial.name);
  CHECK(warmth.low < 21.5);
  CHECK(warmth.high > 21.5);
  CHECK(supposing(given, warmth, 24.0).sheet.trials[0].added->temperature_degC == 24.0);
  const auto by_mass = std::find_if(suspects.begin(), suspects.end(), [](const Suspect& suspect) {
    return suspect.kind == SuspectKind::amount && suspect.unit == "g";
  });
  REQUIRE(by_mass != suspects.end());
  CHECK(by_mass->stated == 49.0);
  CHECK(supposing(given, *by_mass, 45.0).sheet.trials[0].added->mass_g == 45.0);
}
