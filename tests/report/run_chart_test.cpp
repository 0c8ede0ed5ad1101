#include "core/report/charts/run_chart.hpp"

#include <unistd.h>

#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <iterator>

#include "core/report/charts/run_marks.hpp"
#include "tests/catch.hpp"
#include "tests/report/example_charts.hpp"
#include "tests/report/image.hpp"
#include "tests/report/text_boxes.hpp"

using namespace nestcup;

namespace {

/// A folder of its own for one test, gone afterwards.
class TemporaryFolder {
 public:
  TemporaryFolder() {
    std::string name = (std::filesystem::temp_directory_path() / "nestcup-chart-XXXXXX").string();
    REQUIRE(mkdtemp(name.data()) != nullptr);
    path_ = name;
  }
  ~TemporaryFolder() { std::filesystem::remove_all(path_); }
  TemporaryFolder(const TemporaryFolder&) = delete;
  TemporaryFolder& operator=(const TemporaryFolder&) = delete;
  [[nodiscard]] const std::filesystem::path& path() const { return path_; }

 private:
  std::filesystem::path path_;
};

std::string file_text(const std::filesystem::path& path) {
  std::ifstream file(path, std::ios::binary);
  return {std::istreambuf_iterator<char>(file), {}};
}

Image drawn(const RunChart& chart, double scale = 1.0) {
  const auto png = chart_png(chart, scale);
  REQUIRE(png.ok());
  return decoded(*png);
}

/// Column of a time in an image of scale 1.
int column(const RunChart& chart, double time_s) {
  ScratchCanvas scratch;
  const double name =
      scratch.canvas().text_width(Texts(chart.language)["run_chart.cup"], cup_name_style);
  const double right = page_width - page_margin - cup_name_gap - name;
  return static_cast<int>(LinearScale{time_range(chart), 74.0, right}.at(time_s));
}

}  // namespace

TEST_CASE("the same chart gives the same bytes", "[chart]") {
  const RunChart chart = example_chart({.has_added = true});
  const auto svg = chart_svg(chart);
  REQUIRE(svg.ok());
  CHECK(*svg == *chart_svg(chart));
  CHECK(*chart_png(chart, 1.0) == *chart_png(chart, 1.0));
  RunChart other = chart;
  other.cup[10].temperature_degC += 1.0;
  CHECK(*svg != *chart_svg(other));
}

TEST_CASE("the PNG has the size asked for", "[chart]") {
  const RunChart chart = example_chart({});
  const Image image = decoded(*chart_png(chart, 2.0));
  CHECK(image.width == 2 * static_cast<int>(page_width));
  CHECK(image.height == std::lround(2.0 * chart_page(chart)->height));
  for (const double scale : {0.0, 9.0, -1.0}) {
    const auto refused = chart_png(chart, scale);
    REQUIRE_FALSE(refused.ok());
    CHECK(refused.error().kind == Fault::usage);
  }
}

TEST_CASE("nothing runs off the page, whatever the run looks like", "[chart]") {
  const std::vector<ExampleRun> runs{{},
                                     {.rise_K = -4.1},
                                     {.interval_s = 20.0},
                                     {.interval_s = 0.1},
                                     {.has_added = true},
                                     {.rise_K = 0.15, .mixing_s = 4.0},
                                     {.rise_K = 60.0, .mixing_s = 280.0, .release_s = 1.0},
                                     {.interval_s = 30.0, .end_s = 270.0},
                                     {.mixing_s = 2.0, .release_s = 0.3}};
  for (const ExampleRun& run : runs) {
    CAPTURE(run.rise_K, run.interval_s, run.mixing_s);
    RunChart chart = example_chart(run);
    chart.title = std::string(300, 'W');
    const Image image = drawn(chart, 2.0);
    REQUIRE(image.width > 0);
    CHECK(image.soiled_margin(12) == 0);
    CHECK(image.count(palette::fitted, 0, image.width) > 50);
    CHECK(image.count(palette::ink, 0, image.width) > 200);
  }
}

TEST_CASE("no line bridges a gap", "[chart]") {
  RunChart chart = example_chart({});
  chart.fore_line.clear();
  chart.after_line.clear();
  std::erase_if(chart.cup, [](const ChartPoint& p) { return p.time_s > 180 && p.time_s < 240; });
  const Image image = drawn(chart);
  const int from = column(chart, 182.0);
  const int to = column(chart, 238.0);
  CHECK(image.count(palette::cup, from, to) == 0);
  CHECK(image.count(palette::cup, from - (to - from), from) > 50);
}

TEST_CASE("the residuals' panel is there where there are residuals", "[chart]") {
  const RunChart without = example_chart({});
  const RunChart with = example_chart({.has_fit = true});
  CHECK(chart_page(with)->height > chart_page(without)->height + 80.0);
  const Image plain = drawn(without);
  const Image image = drawn(with);
  CHECK(plain.count(palette::scatter_band, 0, plain.width) < 10);  // an edge may blend to it
  CHECK(image.count(palette::scatter_band, 0, image.width) > 10000);
  CHECK(plain.count(palette::course, 0, plain.width) == 0);
  CHECK(image.count(palette::course, 0, image.width) > 100);
}

TEST_CASE("without a course the main period has no residuals and no course", "[chart]") {
  const RunChart chart =
      example_chart({.mixing_s = 150.0, .release_s = 20.0, .has_fit = true, .by_lines = true});
  const Image image = drawn(chart);
  const auto panel_points = [&](double from_s, double to_s) {
    int found = 0;
    const int top = static_cast<int>(chart_page(chart)->height - 160.0);
    for (int y = top; y < image.height; ++y) {
      for (int x = column(chart, from_s); x < column(chart, to_s); ++x) {
        found += image.at(x, y) == 0x17508A ? 1 : 0;
      }
    }
    return found;
  };
  CHECK(image.count(palette::course, 0, image.width) == 0);
  CHECK(panel_points(160.0, 260.0) == 0);
  CHECK(panel_points(20.0, 120.0) > 50);
}

TEST_CASE("knocks that were left out are marked, and do not stretch the panel", "[chart]") {
  RunChart chart = example_chart({.has_fit = true, .knocks = 4});
  CHECK(chart.left_out.size() == 4);
  const Range range = residual_range_mK(chart);
  chart.residuals.erase(std::remove_if(chart.residuals.begin(), chart.residuals.end(),
                                       [](const ChartResidual& r) { return r.left_out; }),
                        chart.residuals.end());
  CHECK(residual_range_mK(chart).high == range.high);
  CHECK(range.low == -range.high);
  const std::string marked = *chart_svg(chart);
  chart.left_out.clear();
  CHECK(*chart_svg(chart) != marked);
}

TEST_CASE("words and numbers are in the chart's language", "[chart]") {
  const auto words = [](Language language) {
    std::string all;
    for (const TextBox& text :
         text_boxes(*chart_page(example_chart({.has_fit = true, .language = language})))) {
      all += text.words + "\n";
    }
    return all;
  };
  const std::string english = words(Language::english);
  const std::string german = words(Language::german);
  for (const char* const word : {"foreperiod\n", "6.2000", "time / s", "residual / mK", "60.0 s"}) {
    CAPTURE(word);
    CHECK(english.find(word) != std::string::npos);
    CHECK(german.find(word) == std::string::npos);
  }
  for (const char* const word : {"Vorperiode\n", "6,2000", "Zeit / s", "Residuum / mK", "60,0 s"}) {
    CAPTURE(word);
    CHECK(german.find(word) != std::string::npos);
  }
}

TEST_CASE("a run without rise, moments, lines or periods is still drawn", "[chart]") {
  RunChart chart = example_chart({});
  chart.corrected_rise_K.reset();
  CHECK(drawn(chart).width > 0);
  chart.equal_area_time_s.reset();
  chart.mixing_time_s.reset();
  chart.fore_line.clear();
  chart.after_line.clear();
  chart.fore = chart.main = chart.after = {};
  const Image image = drawn(chart);
  CHECK(image.count(palette::cup, 0, image.width) > 100);
  CHECK(image.count(palette::fitted, 0, image.width) == 0);
}

TEST_CASE("residuals that are no numbers are refused", "[chart]") {
  RunChart chart = example_chart({.has_fit = true});
  chart.residuals[7].residual_K = std::nan("");
  REQUIRE_FALSE(chart_svg(chart).ok());
  CHECK(chart_svg(chart).error().text == "chart: residual 8 is not a finite number in range");
  chart = example_chart({.has_fit = true});
  chart.scatter_K = -0.001;
  CHECK_FALSE(chart_svg(chart).ok());
  chart = example_chart({});
  chart.cup[3].temperature_degC = 1e300;
  CHECK_FALSE(chart_svg(chart).ok());
}

TEST_CASE("a title that is not UTF-8 is refused", "[chart]") {
  RunChart chart = example_chart({});
  chart.title = "oxide \xFF";
  const auto svg = chart_svg(chart);
  REQUIRE_FALSE(svg.ok());
  CHECK(svg.error().kind == Fault::bad_data);
}

TEST_CASE("files hold the same bytes, and a folder that is not there is named", "[chart]") {
  const RunChart chart = example_chart({});
  const TemporaryFolder folder;
  REQUIRE(write_chart_svg(chart, folder.path() / "run.svg").ok());
  REQUIRE(write_chart_png(chart, folder.path() / "run.png", 1.0).ok());
  CHECK(file_text(folder.path() / "run.svg") == *chart_svg(chart));
  CHECK(file_text(folder.path() / "run.png") == *chart_png(chart, 1.0));
  const auto refused = write_chart_svg(chart, folder.path() / "none" / "run.svg");
  REQUIRE_FALSE(refused.ok());
  CHECK(refused.error().kind == Fault::cannot_create);
  CHECK(refused.error().text.find("none/run.svg") != std::string::npos);
}
