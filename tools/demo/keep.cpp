#include "tools/demo/keep.hpp"

#include <fstream>

#include "core/notebook/report_runs.hpp"
#include "tools/demo/page.hpp"

namespace nestcup::demo {
namespace {

Json truth_of(const Day& day) {
  Json truth = Json::object();
  for (const Outcome& outcome : day.outcomes) {
    if (!outcome.run) continue;
    truth[outcome.run->id] = {{"trial", outcome.truth.trial},
                              {"number", outcome.truth.number},
                              {"corrected_rise_K", outcome.truth.corrected_rise_K},
                              {"mixing_time_s", outcome.mixing_time_s}};
  }
  return truth;
}

}  // namespace

Result<void> write_new(const std::filesystem::path& path, const std::string& text) {
  std::ofstream file(path, std::ios::binary);
  file << text;
  file.close();
  if (!file) return Error{Fault::cannot_create, path.string() + ": cannot be written"};
  return {};
}

Result<void> keep_day(const std::filesystem::path& folder, const Store& store, const Day& day,
                      const Worked& worked) {
  if (auto kept = write_new(folder / "truth.json", truth_of(day).dump(2) + "\n"); !kept)
    return kept;
  if (auto kept = keep_results(folder, worked); !kept) return kept;
  auto runs = report_runs(store, worked.sheet, Language::english,
                          [](int, std::size_t) -> Result<void> { return {}; });
  if (!runs) return runs.error();
  return write_new(folder / "report.html", day_page(day, worked, std::move(*runs)));
}

}  // namespace nestcup::demo
