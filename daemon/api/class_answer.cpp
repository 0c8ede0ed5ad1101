#include "daemon/api/class_answer.hpp"

#include <algorithm>

#include "core/pool/anonymous.hpp"
#include "core/pool/pool_json.hpp"

namespace nestcup::daemon {
namespace {

using Json = nlohmann::ordered_json;

Json trials_json(const ClassBench& bench) {
  Json list = Json::array();
  for (const SheetTrial& trial : bench.sheet->trials) {
    const auto runs = std::count_if(bench.runs.begin(), bench.runs.end(), [&](const ClassRun& run) {
      return run.facts.trial == trial.name;
    });
    list.push_back({{"trial", trial.name},
                    {"runs", runs},
                    {"planned", trial.repeats.value_or(1)},
                    {"typed_runs", trial.typed.size()}});
  }
  return list;
}

/// By the time of mixing: RFC 3339 in UTC sorts as text.
const ClassRun* last_run(const ClassBench& bench) {
  const auto last = std::max_element(
      bench.runs.begin(), bench.runs.end(),
      [](const ClassRun& a, const ClassRun& b) { return a.mixed_at < b.mixed_at; });
  return last == bench.runs.end() ? nullptr : &*last;
}

Json last_json(const ClassRun* run) {
  if (run == nullptr) return nullptr;
  Json warnings = Json::array();
  for (const RunFinding& finding : run->findings) {
    if (finding.severity == Severity::warning) {
      warnings.push_back({{"code", finding.code}, {"text", finding.text}});
    }
  }
  return {{"trial", run->facts.trial},
          {"mixed_at", run->mixed_at.empty() ? Json(nullptr) : Json(run->mixed_at)},
          {"warnings", std::move(warnings)}};
}

Json progress_json(const std::vector<ClassBench>& benches) {
  Json list = Json::array();
  for (const ClassBench& bench : benches) {
    list.push_back({{"bench", bench.name},
                    {"trials", trials_json(bench)},
                    {"left_out", bench.left_out.size()},
                    {"last_run", last_json(last_run(bench))}});
  }
  return list;
}

/// What is known of a sheet without any result.
Json bare_sheet(const pooled::SheetBenches& sheet) {
  std::size_t runs = 0;
  for (const ClassBench& bench : sheet.benches) runs += bench.runs.size();
  return {{"title", sheet.title},
          {"bench_count", sheet.benches.size()},
          {"run_count", runs},
          {"quantities", Json::array()},
          {"benches", Json::array()}};
}

Json worked_out(std::vector<pooled::SheetBenches>& sheets) {
  std::vector<ClassResult> results;
  for (pooled::SheetBenches& sheet : sheets) {
    results.push_back(class_result(std::move(sheet.benches)));
  }
  return pooled::pool_json(results, {}).at("sheets");
}

}  // namespace

Result<Json> class_answer(const RunBook& book, ClassManner manner) {
  auto found = pooled::collect({}, &book, std::nullopt);
  if (!found) return found.error();
  if (manner.letters) pooled::take_names_away(*found);
  Json progress = Json::array(), sheets = Json::array();
  for (const pooled::SheetBenches& sheet : found->sheets) {
    progress.push_back(progress_json(sheet.benches));
    sheets.push_back(bare_sheet(sheet));
  }
  if (!manner.hidden) sheets = worked_out(found->sheets);
  for (std::size_t i = 0; i < sheets.size(); ++i) {
    sheets[i]["progress"] = std::move(progress[i]);
  }
  return sheets;
}

}  // namespace nestcup::daemon
