// Classes at simulated benches: one took the wrong bottle, one left the lid off.
#include "tests/classroom/simulated_class.hpp"

#include "core/classroom/class_result.hpp"
#include "tests/catch.hpp"
#include "core/pool/found_run.hpp"

using namespace nestcup;
using namespace nestcup::classroom;

namespace {

ClassBench simulated_bench(const DayBench& bench, std::uint64_t seed) {
  ClassBench read{bench.name, class_sheet(), {}, {}};
  for (std::size_t run = 0; run < bench.runs.size(); ++run) {
    Json record = simulated_record(bench, run, seed + run);
    name_record(record, bench.name, *class_sheet(), bench.runs[run].trial, 1);
    const auto found = pooled::found_run(record, "run " + std::to_string(run + 1), bench.name);
    REQUIRE(found);
    REQUIRE(found->run);
    read.runs.push_back(*found->run);
  }
  return read;
}

std::string all_of(const BenchJudgement& judgement) {
  std::string text;
  for (const Reason& reason : judgement.reasons) {
    text += reason.code + " (" + std::string(trust_name(reason.trust)) + "): " + reason.text + "\n";
  }
  return text;
}

}  // namespace

TEST_CASE("a class at simulated benches: the wrong bottle and the open lid are named, no other") {
  const std::uint64_t seed = GENERATE(11, 12, 13);
  constexpr std::size_t bottle = 2, lid = 5;
  const Mishap wrong = seed % 2 == 0 ? Mishap::strong_bottle : Mishap::dilute_bottle;
  std::vector<ClassBench> read;
  for (const DayBench& bench : drawn_class(seed, 8, {{bottle, wrong}, {lid, Mishap::lid_off}})) {
    read.push_back(simulated_bench(bench, 1000 * seed + 20 * read.size()));
  }
  const ClassResult result = class_result(std::move(read));
  for (std::size_t bench = 0; bench < result.benches.size(); ++bench) {
    const BenchJudgement& judgement = result.judgements[bench];
    INFO("seed " << seed << ", " << result.benches[bench].name << ", leak "
                 << judgement.leak.value().ratio << "\n"
                 << all_of(judgement));
    if (bench == bottle || bench == lid) {
      REQUIRE_FALSE(judgement.reasons.empty());
      const Reason& first = judgement.reasons.front();
      CHECK(first.code == (bench == bottle ? "other-stock" : "lid-off"));
      CHECK(first.trust == Trust::strong);
      CHECK(judgement.outlying.empty() == (bench == lid));
    } else {
      CHECK(judgement.reasons.empty());
    }
  }
  const Reason& first = result.judgements[bottle].reasons.front();
  CHECK(first.text.find(wrong == Mishap::strong_bottle ? "strong acid" : "dilute acid") !=
        std::string::npos);
}
