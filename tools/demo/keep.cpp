#include "tools/demo/keep.hpp"

#include <fmt/format.h>

#include <fstream>

#include "core/record/stored_run.hpp"
#include "tools/demo/page.hpp"
#include "tools/report/report_runs.hpp"
#include "core/report/run_drawing.hpp"

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

std::string folder_name(const Outcome& outcome) {
  const std::string started = outcome.record.at("started_at");
  return fmt::format("{} {} {}-{} {}", started.substr(0, 10),
                     outcome.record.at("bench").get<std::string>(), outcome.truth.trial,
                     outcome.truth.number, outcome.run->id.substr(outcome.run->id.size() - 6));
}

Result<void> keep_run(const std::filesystem::path& folder, const Store& store,
                      const Outcome& outcome) {
  std::error_code code;
  if (!std::filesystem::create_directories(folder, code)) {
    return Error{Fault::cannot_create, folder.string() + ": cannot be made"};
  }
  if (auto kept = write_new(folder / "run.json", outcome.record.dump(2) + "\n"); !kept) return kept;
  const auto csv = export_text(store, *outcome.run);
  if (!csv) return csv.error();
  if (auto kept = write_new(folder / "readings.csv", *csv); !kept) return kept;
  const auto again = analysed_again(store, *outcome.run);
  if (!again) return again.error();
  if (!*again) return Error{Fault::bad_data, folder.string() + ": the readings show no mixing"};
  const RunChart chart =
      run_chart(**again, fmt::format("{} {}", outcome.truth.trial, outcome.truth.number));
  if (auto drawn = write_chart_svg(chart, folder / "chart.svg"); !drawn) return drawn;
  return write_chart_png(chart, folder / "chart.png", 2.0);
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
  for (const Outcome& outcome : day.outcomes) {
    if (!outcome.run) continue;
    const std::string name = folder_name(outcome);
    if (auto kept = keep_run(folder / "notebook" / name, store, outcome); !kept) return kept;
  }
  if (auto kept = keep_results(folder, worked); !kept) return kept;
  auto runs = report_runs(store, worked.sheet, Language::english, [](int, std::size_t) {});
  if (!runs) return runs.error();
  return write_new(folder / "report.html", day_page(day, worked, std::move(*runs)));
}

}  // namespace nestcup::demo
