#include "core/report/drawing/svg_text.hpp"

#include <set>

#include "core/report/charts/run_chart.hpp"
#include "tests/catch.hpp"
#include "tests/report/example_charts.hpp"
#include "tests/report/example_results.hpp"

using namespace nestcup;

namespace {

/// All that stands behind `mark` up to `end`.
std::set<std::string> found_behind(const std::string& svg, const std::string& mark, char end) {
  std::set<std::string> found;
  for (std::size_t at = svg.find(mark); at != std::string::npos; at = svg.find(mark, at + 1)) {
    const std::size_t from = at + mark.size();
    found.insert(svg.substr(from, svg.find(end, from) - from));
  }
  return found;
}

std::set<std::string> ids_of(const std::string& svg) {
  return found_behind(svg, " id=\"", '"');
}

}  // namespace

TEST_CASE("drawings in one page have no id in common, and every reference has its id", "[chart]") {
  const std::vector<std::string> drawings{*chart_svg(example_chart({})),
                                          *chart_svg(example_chart({.rise_K = 3.0})),
                                          *chart_svg(example_cycle(Language::english)),
                                          *chart_svg(example_cycle(Language::german)),
                                          *chart_svg(example_class(12, Language::english)),
                                          *chart_svg(example_budget(Language::english))};
  std::set<std::string> all;
  std::size_t count = 0;
  for (const std::string& svg : drawings) {
    const std::set<std::string> ids = ids_of(svg);
    REQUIRE(ids.size() > 2);
    count += ids.size();
    all.insert(ids.begin(), ids.end());
    for (const std::string& target : found_behind(svg, "href=\"#", '"')) {
      CHECK(ids.contains(target));
    }
    for (const std::string& target : found_behind(svg, "url(#", ')')) CHECK(ids.contains(target));
  }
  CHECK(all.size() == count);
}

// SVG Accessibility API Mappings 1.0, 5.1: name from aria-labelledby, else from the title child.
TEST_CASE("an SVG says its title, its description and its language", "[chart]") {
  RunChart chart = example_chart({.language = Language::german});
  chart.title = "acid & base <2>\x01";
  const std::string svg = *chart_svg(chart);
  CHECK(svg.rfind("<?xml", 0) == 0);
  CHECK(svg.find("role=\"img\"") != std::string::npos);
  CHECK(svg.find("lang=\"de\"") != std::string::npos);
  CHECK(svg.find(">acid &amp; base &lt;2&gt; </title>") != std::string::npos);
  CHECK(svg.find("Korrigierter Temperatursprung 6,2000") != std::string::npos);
  const std::set<std::string> labels = found_behind(svg, "aria-labelledby=\"", '"');
  REQUIRE(labels.size() == 1);
  const std::size_t blank = labels.begin()->find(' ');
  CHECK(ids_of(svg).contains(labels.begin()->substr(0, blank)));
  CHECK(ids_of(svg).contains(labels.begin()->substr(blank + 1)));
}

TEST_CASE("the element for a page of HTML has no declaration", "[chart]") {
  const std::string svg = *chart_svg(example_budget(Language::english));
  CHECK(svg_element(svg).rfind("<svg", 0) == 0);
  CHECK(svg_element(svg).ends_with("</svg>\n"));
  CHECK(svg_element("no drawing") == "no drawing");
}

TEST_CASE("what is no SVG stays as it is") {
  CHECK(finished_svg("nothing", {"a", "b", "en"}) == "nothing");
}
