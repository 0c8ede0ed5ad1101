#include "core/classroom/class_bench.hpp"

namespace nestcup {

std::vector<RunFacts> facts_of(const ClassBench& bench) {
  std::vector<RunFacts> facts;
  facts.reserve(bench.runs.size());
  for (const ClassRun& run : bench.runs) facts.push_back(run.facts);
  return facts;
}

}  // namespace nestcup
