#include "core/report/charts/run_data.hpp"

#include <limits>

#include "tests/catch.hpp"
#include "tests/report/example_charts.hpp"

using namespace nestcup;

TEST_CASE("a series is cut where the spacing exceeds five medians, and only there") {
  std::vector<ChartPoint> points;
  for (const double time_s : {0.0, 1.0, 2.0, 3.0, 8.0, 9.0, 10.0, 15.1, 16.0}) {
    points.push_back({time_s, 20.0});
  }
  const auto pieces = pieces_between_gaps(points);
  REQUIRE(pieces.size() == 2);
  CHECK(pieces[0].size() == 7);
  CHECK(pieces[1].front().time_s == 15.1);
}

TEST_CASE("pieces of few or simultaneous readings") {
  CHECK(pieces_between_gaps({}).empty());
  const std::vector<ChartPoint> one{{1.0, 20.0}};
  CHECK(pieces_between_gaps(one).size() == 1);
  const std::vector<ChartPoint> pairs{
      {1.0, 20.0}, {1.0, 20.1}, {2.0, 20.0}, {2.0, 20.1}, {3.0, 20.0}};
  CHECK(pieces_between_gaps(pairs).size() == 1);
}

TEST_CASE("a polyline is read between its points and at its ends") {
  const std::vector<ChartPoint> line{{0.0, 20.0}, {10.0, 21.0}, {20.0, 25.0}};
  CHECK_THAT(line_at(line, 5.0).value(), WithinAbs(20.5, 1e-12));
  CHECK_THAT(line_at(line, 10.0).value(), WithinAbs(21.0, 1e-12));
  CHECK_THAT(line_at(line, 15.0).value(), WithinAbs(23.0, 1e-12));
  CHECK(line_at(line, -1.0).value() == 20.0);
  CHECK(line_at(line, 30.0).value() == 25.0);
  CHECK_FALSE(line_at({}, 1.0).has_value());
}

TEST_CASE("ranges hold every series, and a flat run still has a height") {
  RunChart chart = example_chart({.has_added = true});
  chart.fore_line.front().time_s = -3.0;
  CHECK(time_range(chart).low == -3.0);
  CHECK(time_range(chart).high == 300.0);
  CHECK(temperature_range(chart).high == chart.added.front().temperature_degC);
  RunChart flat;
  flat.cup = {{0.0, 21.0}, {1.0, 21.0}};
  CHECK_THAT(temperature_range(flat).size(), WithinAbs(0.2, 1e-12));
}

TEST_CASE("what cannot be drawn is refused with a reason") {
  const RunChart good = example_chart({});
  REQUIRE(check_chart(good).ok());
  const auto refused = [](const RunChart& chart) {
    const auto checked = check_chart(chart);
    return checked.ok() ? std::string() : checked.error().text;
  };
  RunChart chart = good;
  chart.cup.resize(1);
  CHECK(refused(chart) == "chart: 1 readings of the cup, at least 2 are needed");
  chart = good;
  chart.cup[4].temperature_degC = std::numeric_limits<double>::quiet_NaN();
  CHECK(refused(chart) == "chart: point 5 of the cup readings is not a finite number");
  chart = good;
  chart.added = {{5.0, 20.0}, {4.0, 20.0}};
  CHECK(refused(chart) == "chart: the times of the added readings go back at point 2");
  chart = good;
  chart.cup = {{5.0, 20.0}, {5.0, 20.0}};
  CHECK(refused(chart) == "chart: all readings of the cup have the same time");
  chart = good;
  chart.equal_area_time_s = std::numeric_limits<double>::infinity();
  CHECK_FALSE(refused(chart).empty());
  chart = good;
  chart.subtitles.resize(4);
  CHECK(refused(chart) == "chart: 4 subtitles, at most 3 have room");
}
