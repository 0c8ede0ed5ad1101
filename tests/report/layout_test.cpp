// No text of any chart may lie over another one or run off the page, whatever the chart holds.
#include <string>
#include <vector>

#include "core/report/charts/run_chart.hpp"
#include "tests/catch.hpp"
#include "tests/report/example_charts.hpp"
#include "tests/report/example_results.hpp"
#include "tests/report/text_boxes.hpp"

using namespace nestcup;

namespace {

const std::string long_name =
    "Doppelwandgef\xC3\xA4\xC3\x9F mit nachtr\xC3\xA4glich eingeklebtem R\xC3\xBChrwerk am Fenster";
const std::string one_word = "Neutralisationsenthalpiebestimmungsversuchsanordnungsbeschreibung";

std::vector<ExampleRun> example_runs() {
  std::vector<ExampleRun> runs;
  for (const double rise_K : {-60.0, -4.1, -0.16, 0.15, 2.0, 6.2, 60.0}) {
    for (const double mixing_s : {2.0, 60.0, 150.0, 280.0}) {
      for (const bool has_added : {false, true}) {
        runs.push_back({.rise_K = rise_K,
                        .mixing_s = mixing_s,
                        .release_s = mixing_s > 200.0 ? 0.5 : 6.0,
                        .has_added = has_added,
                        .has_fit = true,
                        .by_lines = mixing_s > 100.0,
                        .knocks = 3});
      }
    }
  }
  return runs;
}

}  // namespace

TEST_CASE("texts that overlap or run off the page are found", "[chart]") {
  ChartPage page{100.0, "", "", Language::english, [](Canvas& canvas) {
                   canvas.text({50.0, 30.0}, "one", {}, Across::left);
                   canvas.text({50.0, 60.0}, "two", {}, Across::left);
                 }};
  CHECK(layout_fault(page).empty());
  page.draw = [](Canvas& canvas) {
    canvas.text({50.0, 30.0}, "one", {}, Across::left);
    canvas.text({55.0, 33.0}, "two", {}, Across::left);
  };
  CHECK(layout_fault(page).find("lies over") != std::string::npos);
  page.draw = [](Canvas& canvas) { canvas.text({670.0, 30.0}, "three", {}, Across::left); };
  CHECK(layout_fault(page).find("runs off") != std::string::npos);
  page.draw = [](Canvas& canvas) { canvas.upward_text({50.0, 10.0}, "upwards", {}); };
  CHECK(layout_fault(page).find("runs off") != std::string::npos);
}

TEST_CASE("texts of run charts keep apart", "[chart]") {
  for (ExampleRun run : example_runs()) {
    for (const Language language : languages) {
      run.language = language;
      RunChart chart = example_chart(run);
      CAPTURE(run.rise_K, run.mixing_s, run.has_added, language_tag(language));
      CHECK(layout_fault_of(chart) == "");
      chart.title = long_name + " " + one_word + " " + long_name + " " + long_name;
      chart.subtitles = {one_word + one_word + one_word, long_name + long_name + long_name, "x"};
      chart.corrected_rise_K->u = 1e-9;
      CHECK(layout_fault_of(chart) == "");
    }
  }
}

TEST_CASE("texts of budget charts keep apart", "[chart]") {
  for (const Language language : languages) {
    CHECK(layout_fault_of(example_budget(language)) == "");
    for (const std::size_t count : {1, 2, 20, 21, 100}) {
      for (const double largest_u : {1e-30, 4e-7, 0.02, 3.1, 77.0, 5e4, 1e30}) {
        BudgetChart chart = halving_budget(count, largest_u);
        chart.language = language;
        CAPTURE(count, largest_u, language_tag(language));
        CHECK(layout_fault_of(chart) == "");
        chart.unit = "";
        chart.bars.front().label = long_name + ", " + long_name + ", " + long_name;
        chart.bars.back().label = one_word + one_word;
        CHECK(layout_fault_of(chart) == "");
      }
    }
  }
}

TEST_CASE("texts of cycle charts keep apart", "[chart]") {
  for (const Language language : languages) {
    CHECK(layout_fault_of(example_cycle(language)) == "");
    for (std::size_t count = 1; count <= most_cycle_steps; ++count) {
      for (const double kJ_per_mol : {0.0, 1e-5, 30.0, -700.0, 1.2e7}) {
        CycleChart chart = long_cycle(count, kJ_per_mol);
        chart.language = language;
        CAPTURE(count, kJ_per_mol, language_tag(language));
        CHECK(layout_fault_of(chart) == "");
        chart.accepted = Uncertain{-3.3 * kJ_per_mol, 0.01};
        for (std::string& level : chart.levels) level = "Mg+2(aq) + H2(g)";
        CHECK(layout_fault_of(chart) == "");
        chart.levels.clear();
        chart.target.label = one_word + " " + long_name;
        CHECK(layout_fault_of(chart) == "");
      }
    }
  }
}

TEST_CASE("levels that lie on one another keep their words apart", "[chart]") {
  CycleChart chart = example_cycle(Language::german);
  for (CycleStep& step : chart.steps) step.kJ_per_mol = 0.001;
  chart.target.kJ_per_mol = -800.0;
  CHECK(layout_fault_of(chart) == "");
}

TEST_CASE("texts of class charts keep apart", "[chart]") {
  for (const Language language : languages) {
    for (const std::size_t count : {1, 2, 12, 40, 41, 200, 2000}) {
      ClassChart chart = example_class(count, language);
      CAPTURE(count, language_tag(language));
      CHECK(layout_fault_of(chart) == "");
      for (ClassChartBench& bench : chart.benches) bench.name = long_name + " " + bench.name;
      chart.benches.front().name = one_word + one_word;
      chart.quantity = long_name;
      CHECK(layout_fault_of(chart) == "");
    }
  }
}

TEST_CASE("texts of class charts keep apart, however large the numbers are", "[chart]") {
  for (const double size : {1e-30, 1e-6, 1e-3, 1.0, 1e3, 1e7, 1e40}) {
    for (const double offset : {0.0, 1.0, -1e4}) {
      ClassChart chart = example_class(9, Language::english);
      for (ClassChartBench& bench : chart.benches) {
        bench.value = size * (bench.value + offset);
        bench.u *= size;
        for (double& run : bench.runs) run = size * (run + offset);
      }
      chart.robust_mean = size * (chart.robust_mean + offset);
      chart.robust_sd *= size;
      chart.median = size * (chart.median + offset);
      chart.accepted = Uncertain{size * (chart.accepted->value + offset), size * 1e-7};
      CAPTURE(size, offset);
      CHECK(layout_fault_of(chart) == "");
    }
  }
}
