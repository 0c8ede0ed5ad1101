// Not a test by itself: writes the example charts for looking at them. See DEVELOPERS.md.
#include <cstdlib>
#include <filesystem>

#include "core/report/charts/run_chart.hpp"
#include "tests/catch.hpp"
#include "tests/report/example_charts.hpp"
#include "tests/report/example_results.hpp"

using namespace nestcup;

namespace {

/// Writes a chart as NAME-LANGUAGE.svg and .png.
template <class Chart>
void keep(const std::filesystem::path& folder, const std::string& name, const Chart& chart) {
  const std::string stem = name + "-" + std::string(language_tag(chart.language));
  CAPTURE(stem);
  REQUIRE(write_chart_svg(chart, folder / (stem + ".svg")).ok());
  REQUIRE(write_chart_png(chart, folder / (stem + ".png"), 2.0).ok());
}

}  // namespace

TEST_CASE("example charts are written to the folder NESTCUP_PICTURES", "[.pictures]") {
  const char* const name = std::getenv("NESTCUP_PICTURES");
  REQUIRE(name != nullptr);
  const std::filesystem::path folder = name;
  std::filesystem::create_directories(folder);
  for (const Language language : languages) {
    const auto run = [&](const char* stem, ExampleRun example) {
      example.language = language;
      keep(folder, stem, example_chart(example));
    };
    run("run", {.has_added = true, .ripple_K = 0.004, .has_fit = true, .knocks = 4});
    run("run-lines", {.rise_K = -4.1, .interval_s = 5.0, .has_fit = true, .by_lines = true});
    run("run-late", {.rise_K = 2.0, .mixing_s = 230.0, .has_fit = true});
    run("run-flat", {.rise_K = 0.3, .interval_s = 20.0, .has_added = true});
    keep(folder, "budget", example_budget(language));
    keep(folder, "cycle", example_cycle(language));
    keep(folder, "class", example_class(12, language));
    keep(folder, "class-many", example_class(200, language));
  }
  keep(folder, "budget-many", halving_budget(40, 3.1));
  keep(folder, "cycle-long", long_cycle(5, 300.0));
  keep(folder, "cycle-longest", long_cycle(12, 30.0));
}
