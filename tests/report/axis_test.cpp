#include "core/report/drawing/axis.hpp"

#include "core/report/drawing/chart_page.hpp"
#include "core/report/drawing/spread.hpp"
#include "tests/catch.hpp"

using namespace nestcup;

namespace {

const Texts english(Language::english);
const Texts german(Language::german);

}  // namespace

TEST_CASE("a scale goes from its range to the page, upwards too") {
  const LinearScale upwards{{10.0, 30.0}, 400.0, 100.0};
  CHECK_THAT(upwards.at(10.0), WithinAbs(400.0, 1e-12));
  CHECK_THAT(upwards.at(25.0), WithinAbs(175.0, 1e-12));
  CHECK_THAT(upwards.at(30.0), WithinAbs(100.0, 1e-12));
}

TEST_CASE("tick labels are in the language") {
  const AxisTicks ticks = axis_ticks({-0.5, 1.0}, 4, german);
  CHECK(ticks.labels == std::vector<std::string>{"\xE2\x88\x92"
                                                 "0,5",
                                                 "0,0", "0,5", "1,0"});
  CHECK(axis_ticks({-0.5, 1.0}, 4, english).labels.back() == "1.0");
  CHECK(ticks.exponent == 0);
}

TEST_CASE("numbers far from one are labelled in powers of a thousand") {
  const AxisTicks small = axis_ticks({0.0, 4e-7}, 5, english);
  CHECK(small.exponent == -9);
  CHECK(small.labels.back() == "400");
  CHECK_THAT(small.values.back(), WithinAbs(4e-7, 1e-20));
  CHECK(axis_ticks({-2.5e6, 0.0}, 6, english).exponent == 6);
  CHECK(axis_ticks({0.0, 99000.0}, 6, english).exponent == 0);
  CHECK(display_exponent(0.0) == 0);
  CHECK(display_exponent(0.0009) == -6);
  CHECK(display_exponent(1e5) == 3);
}

// ISO 80000-1:2009, 7.1.4: the number is the quantity divided by its unit; a compound unit behind
// the solidus needs parentheses.
TEST_CASE("an axis is titled with the quantity over its unit") {
  CHECK(axis_title("time", "s", 0) == "time / s");
  CHECK(axis_title("enthalpy", "kJ/mol", 0) == "enthalpy / (kJ/mol)");
  CHECK(axis_title("ratio", "", 0) == "ratio");
  CHECK(axis_title("u", "K", -9) ==
        "u / (10\xE2\x81\xBB\xE2\x81\xB9"
        " K)");
}

TEST_CASE("a lying axis has no more labels than there is room for", "[chart]") {
  ScratchCanvas scratch;
  Canvas& canvas = scratch.canvas();
  for (const double width : {60.0, 120.0, 300.0, 600.0}) {
    for (const Range& range : {Range{0.0, 300.0}, Range{99999.9991, 99999.9999}}) {
      const LinearScale scale{range, 0.0, width};
      const AxisTicks ticks = lying_ticks(canvas, scale, english);
      CAPTURE(width, range.low);
      REQUIRE_FALSE(ticks.values.empty());
      if (ticks.values.size() <= 2) continue;
      for (const std::string& label : ticks.labels) {
        CHECK(canvas.text_width(label, {10.0}) <
              scale.at(ticks.values[1]) - scale.at(ticks.values[0]));
      }
    }
  }
}

TEST_CASE("labels are spread with their gap, in their order, within the row") {
  const std::vector<double> sizes{10.0, 10.0, 10.0};
  const Range row{0.0, 100.0};
  CHECK(spread({5.0, 40.0, 80.0}, sizes, 2.0, row) == std::vector<double>{5.0, 40.0, 80.0});
  CHECK(spread({5.0, 6.0, 7.0}, sizes, 2.0, row) == std::vector<double>{5.0, 17.0, 29.0});
  CHECK(spread({95.0, 96.0, 97.0}, sizes, 2.0, row) == std::vector<double>{66.0, 78.0, 90.0});
  CHECK(spread({-7.0, 0.0, 50.0}, sizes, 2.0, row) == std::vector<double>{0.0, 12.0, 50.0});
  CHECK(spread({}, {}, 2.0, row).empty());
}
