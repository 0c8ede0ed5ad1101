#include "tools/results/gathered.hpp"

#include <fmt/format.h>

#include "core/record/results_input.hpp"

namespace nestcup {

Result<void> gather_record(const Json& record, const std::string& from, Gathered& gathered) {
  auto facts = record_facts(record);
  if (!facts) return Error{Fault::bad_data, from + ": " + facts.error().text};
  if (facts->facts) {
    gathered.runs.push_back(std::move(*facts->facts));
  } else {
    gathered.left_out.push_back(fmt::format("{} is {} and left out", from, facts->left_out));
  }
  return {};
}

Result<void> gather_store(const Store& store, Gathered& gathered) {
  const auto runs = store.runs();
  if (!runs) return runs.error();
  for (const StoredRun& run : *runs) {
    const auto gathered_one =
        gather_record(Json::parse(run.record_json), fmt::format("run {}", run.number), gathered);
    if (!gathered_one) return gathered_one;
  }
  return {};
}

}  // namespace nestcup
