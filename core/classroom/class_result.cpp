#include "core/classroom/class_result.hpp"

#include <utility>

#include "core/classroom/leak_beside.hpp"

namespace nestcup {

namespace {

void judge_values(const ClassResult& result, std::vector<BenchJudgement>& judgements) {
  for (std::size_t i = 0; i < result.quantities.size(); ++i) {
    for (const BenchValue& bench : result.quantities[i].benches) {
      if (bench.is_outlying()) judgements[bench.bench].outlying.push_back(i);
      if (bench.scatter == Standing::outlier) judgements[bench.bench].apart.push_back(i);
    }
  }
}

bool has_outlying_trial(const BenchJudgement& judgement, const ClassResult& result) {
  for (const std::size_t quantity : judgement.outlying) {
    if (result.quantities[quantity].name.kind == QuantityKind::trial) return true;
  }
  return false;
}

}  // namespace

ClassResult class_result(std::vector<ClassBench> benches) {
  ClassResult result;
  result.benches = std::move(benches);
  if (result.benches.empty()) return result;
  result.title = result.benches.front().sheet->title;
  for (const ClassBench& bench : result.benches) {
    result.results.push_back(work_out(*bench.sheet, facts_of(bench)));
  }
  std::vector<std::pair<const Sheet*, const Results*>> worked;
  for (std::size_t i = 0; i < result.benches.size(); ++i) {
    worked.emplace_back(result.benches[i].sheet.get(), &result.results[i]);
  }
  result.quantities = class_quantities(worked);
  result.judgements.resize(result.benches.size());
  judge_values(result, result.judgements);
  for (LeakBeside& leak : leaks_beside(result.benches)) {
    result.judgements[leak.bench].leak = std::move(leak);
  }
  for (std::size_t i = 0; i < result.benches.size(); ++i) {
    BenchJudgement& judgement = result.judgements[i];
    if (has_outlying_trial(judgement, result)) {
      judgement.deviations =
          deviations_of(result.benches[i], i, result.results[i], result.quantities);
    }
    judgement.reasons = reasons_of(judgement, {result.benches, result.quantities, i});
  }
  return result;
}

}  // namespace nestcup
