// Budget, cycle and class charts: what they show, and what they refuse.
#include <algorithm>
#include <limits>

#include "tests/catch.hpp"
#include "tests/report/example_results.hpp"
#include "tests/report/image.hpp"
#include "tests/report/text_boxes.hpp"

using namespace nestcup;

namespace {

constexpr double not_a_number = std::numeric_limits<double>::quiet_NaN();
constexpr double infinity = std::numeric_limits<double>::infinity();

template <class Chart>
std::string refusal(const Chart& chart) {
  const auto svg = chart_svg(chart);
  if (svg.ok()) return "";
  CHECK(svg.error().kind == Fault::bad_data);
  return svg.error().text;
}

template <class Chart>
std::vector<TextBox> boxes_of(const Chart& chart) {
  return text_boxes(*chart_page(chart));
}

/// The box of the text that is or begins with `words`.
PageBox box_of(const std::vector<TextBox>& boxes, const std::string& words) {
  const auto found = std::find_if(boxes.begin(), boxes.end(), [&](const TextBox& text) {
    return text.words.rfind(words, 0) == 0;
  });
  CAPTURE(words);
  REQUIRE(found != boxes.end());
  return found->box;
}

bool has(const std::vector<TextBox>& boxes, const std::string& words) {
  return std::any_of(boxes.begin(), boxes.end(),
                     [&](const TextBox& text) { return text.words == words; });
}

/// How many pixels of a colour a row of the image has.
int row_count(const Image& image, const Colour& colour, double y) {
  Image row;
  row.width = image.width;
  row.height = 1;
  const auto start = image.pixels.begin() + static_cast<int>(y) * image.width;
  row.pixels.assign(start, start + image.width);
  return row.count(colour, 0, row.width);
}

double middle_y(const PageBox& box) {
  return box.top + 0.5 * box.height;
}

}  // namespace

TEST_CASE("the same chart gives the same bytes, whatever was drawn before", "[chart]") {
  const CycleChart cycle = example_cycle(Language::english);
  const std::string first = *chart_svg(cycle);
  CHECK(*chart_svg(example_class(3, Language::english)) ==
        *chart_svg(example_class(3, Language::english)));
  CHECK(*chart_svg(example_budget(Language::german)) ==
        *chart_svg(example_budget(Language::german)));
  CHECK(*chart_svg(cycle) == first);
  CHECK(*chart_png(cycle, 1.0) == *chart_png(cycle, 1.0));
}

TEST_CASE("a budget is sorted, and its bars are as long as the u they stand for", "[chart]") {
  BudgetChart chart;
  chart.title = "budget";
  chart.unit = "J/K";
  chart.bars = {{"aa", 1.0}, {"bb", 4.0}, {"cc", 2.0}};
  chart.total_u = 4.583;  // root of 21
  const auto boxes = boxes_of(chart);
  const double a_y = middle_y(box_of(boxes, "aa")), b_y = middle_y(box_of(boxes, "bb")),
               c_y = middle_y(box_of(boxes, "cc"));
  CHECK(b_y < c_y);
  CHECK(c_y < a_y);
  const Image image = decoded(*chart_png(chart, 1.0));
  const int a = row_count(image, palette::cup, a_y), b = row_count(image, palette::cup, b_y),
            c = row_count(image, palette::cup, c_y);
  CHECK(b > 100);
  CHECK_THAT(static_cast<double>(c) / b, WithinAbs(0.5, 0.02));
  CHECK_THAT(static_cast<double>(a) / b, WithinAbs(0.25, 0.02));
  // 16 of 21, 4 of 21 and 1 of 21.
  CHECK(has(boxes, "76 %"));
  CHECK(has(boxes, "19 %"));
  CHECK(has(boxes, "5 %"));
  CHECK(has(boxes, "100 %"));
}

TEST_CASE("a rise's budget is in mK below 1 K", "[chart]") {
  BudgetChart chart = example_budget(Language::german);
  CHECK(has(boxes_of(chart), "u / mK"));
  CHECK(has(boxes_of(chart), "1,61"));
  CHECK(has(boxes_of(chart), "< 1 %"));
  for (BudgetBar& bar : chart.bars) bar.u *= 1000.0;
  chart.total_u *= 1000.0;
  CHECK(has(boxes_of(chart), "u / K"));
}

TEST_CASE("small sources are put together by the root of their squares", "[chart]") {
  BudgetChart chart;
  chart.title = "many";
  chart.unit = "K";
  chart.bars.assign(most_budget_bars - 1, {"large", 3.0});
  chart.bars.insert(chart.bars.end(), 16, {"small", 1.0});
  chart.total_u = 14.0;
  const auto boxes = boxes_of(chart);
  CHECK(has(boxes, "16 smaller ones together"));
  CHECK(has(boxes, "4.0"));
  CHECK_FALSE(has(boxes, "small"));
}

TEST_CASE("budgets that cannot be drawn are refused", "[chart]") {
  BudgetChart chart = example_budget(Language::english);
  chart.bars[1].u = not_a_number;
  CHECK(refusal(chart).find("\"scatter of the readings") != std::string::npos);
  chart.bars[1].u = -1.0;
  CHECK_FALSE(refusal(chart).empty());
  chart = example_budget(Language::english);
  for (const double total_u : {0.0, -1.0, not_a_number, infinity}) {
    chart.total_u = total_u;
    CHECK(refusal(chart) == "budget chart: the total is not a finite number above zero");
  }
  CHECK(refusal(BudgetChart{}) == "budget chart: no sources, at least one is needed");
  chart = example_budget(Language::english);
  chart.bars[0].label = "pour \xFF";
  CHECK(refusal(chart).find("not UTF-8") != std::string::npos);
}

TEST_CASE("a cycle's levels go down where heat is set free", "[chart]") {
  const auto boxes = boxes_of(example_cycle(Language::english));
  const double start = middle_y(box_of(boxes, "Mg(s)"));
  const double second = middle_y(box_of(boxes, "Mg+2(aq) "));
  const double end = middle_y(box_of(boxes, "MgO(s)"));
  CHECK(start < second);
  CHECK(second < end);
  CHECK(box_of(boxes, "step 1").left < box_of(boxes, "step 2").left);
  // Taken backwards, the third reaction takes heat up: +151.47.
  const std::string no_break_space = "\xC2\xA0", plus_minus = " \xC2\xB1";
  CHECK(has(boxes, "151.47" + plus_minus + no_break_space + "0.59"));
  CHECK(has(boxes,
            "\xC3\x97 \xE2\x88\x92"
            "1"));
}

TEST_CASE("measured and accepted steps differ by dashes", "[chart]") {
  CycleChart chart = example_cycle(Language::english);
  for (CycleStep& step : chart.steps) step.measured = true;
  const Image whole = decoded(*chart_png(chart, 1.0));
  for (CycleStep& step : chart.steps) step.measured = false;
  const Image dashed = decoded(*chart_png(chart, 1.0));
  CHECK(whole.count(palette::cup, 0, whole.width) > 300);
  CHECK(dashed.count(palette::cup, 0, dashed.width) == 0);
}

TEST_CASE("a sum that misses the last level shows as a gap", "[chart]") {
  CycleChart chart = example_cycle(Language::english);
  const std::string closed = *chart_svg(chart);
  chart.target.kJ_per_mol += 40.0;
  CHECK(*chart_svg(chart) != closed);
  CHECK(layout_fault_of(chart) == "");
}

TEST_CASE("cycles that cannot be drawn are refused", "[chart]") {
  CycleChart chart = example_cycle(Language::english);
  chart.steps[1].kJ_per_mol = not_a_number;
  CHECK(refusal(chart).find("H2(g) + 1/2 O2(g)") != std::string::npos);
  chart = example_cycle(Language::english);
  chart.steps[0].multiplier = infinity;
  CHECK_FALSE(refusal(chart).empty());
  chart = example_cycle(Language::english);
  chart.levels.pop_back();
  CHECK(refusal(chart) == "cycle chart: 3 levels, 3 steps have 4");
  chart = example_cycle(Language::english);
  chart.accepted->u = -0.1;
  CHECK_FALSE(refusal(chart).empty());
  CHECK(refusal(CycleChart{}) == "cycle chart: 0 steps, 1 to 12 have room");
  CHECK(refusal(long_cycle(13, 20.0)) == "cycle chart: 13 steps, 1 to 12 have room");
}

TEST_CASE("a class's benches are named with their values, up to forty", "[chart]") {
  const auto few = boxes_of(example_class(40, Language::english));
  CHECK(has(few, "bench 1"));
  CHECK(has(few, "bench 40"));
  const auto many = boxes_of(example_class(200, Language::english));
  CHECK_FALSE(has(many, "bench 1"));
  CHECK(has(many, "bench 5"));  // an outlier
  CHECK(many.size() < few.size());
}

TEST_CASE("outliers have another shape, and those beyond the axis a pointer", "[chart]") {
  ClassChart chart = example_class(9, Language::english);
  for (ClassChartBench& bench : chart.benches) bench.outlying = false;
  const Image plain = decoded(*chart_png(chart, 2.0));
  chart.benches[3].outlying = true;
  const Image marked = decoded(*chart_png(chart, 2.0));
  CHECK(marked.pixels != plain.pixels);
  chart.benches[3].value = 5000.0;
  const Image pointed = decoded(*chart_png(chart, 2.0));
  CHECK(pointed.soiled_margin(12) == 0);
  // The others keep the room that they need to be told apart: the band is nearly as wide.
  const int before = marked.count(palette::scatter_band, 0, marked.width);
  CHECK(pointed.count(palette::scatter_band, 0, pointed.width) > before / 4);
}

TEST_CASE("one bench, and benches that all agree, have an axis", "[chart]") {
  ClassChart chart = example_class(1, Language::english);
  chart.robust_mean = chart.median = chart.benches[0].value;
  chart.robust_sd = 0.0;
  chart.accepted.reset();
  CHECK(layout_fault_of(chart) == "");
  chart.benches[0].u = 0.0;
  chart.benches[0].runs.clear();
  CHECK(layout_fault_of(chart) == "");
  chart.benches[0].value = chart.robust_mean = chart.median = 0.0;
  CHECK(layout_fault_of(chart) == "");
}

TEST_CASE("classes that cannot be drawn are refused", "[chart]") {
  ClassChart chart = example_class(5, Language::english);
  chart.benches[2].runs[1] = not_a_number;
  CHECK(refusal(chart).find("\"bench 3\"") != std::string::npos);
  chart = example_class(5, Language::english);
  chart.benches[0].u = -0.2;
  CHECK_FALSE(refusal(chart).empty());
  chart = example_class(5, Language::english);
  chart.robust_sd = infinity;
  CHECK_FALSE(refusal(chart).empty());
  CHECK(refusal(ClassChart{}) == "class chart: no benches, at least one is needed");
}
