#include "core/report/run_chart.hpp"

#include <unistd.h>

#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <iterator>

#include "core/report/run_marks.hpp"
#include "tests/catch.hpp"
#include "tests/report/example_charts.hpp"
#include "tests/report/image.hpp"

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

TEST_CASE("the SVG is titled for readers that do not see", "[chart]") {
  RunChart chart = example_chart({});
  chart.title = "acid & base <2>";
  const auto svg = chart_svg(chart);
  REQUIRE(svg.ok());
  CHECK(svg->rfind("<?xml", 0) == 0);
  CHECK(svg->find("<title>acid &amp; base &lt;2&gt;</title>") != std::string::npos);
  CHECK(svg->find("</svg>") != std::string::npos);
}

TEST_CASE("the PNG has the size asked for", "[chart]") {
  const RunChart chart = example_chart({});
  const Image image = decoded(*chart_png(chart, 2.0));
  CHECK(image.width == 1520);
  CHECK(image.height == 960);
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
