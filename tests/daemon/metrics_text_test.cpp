// The text of metrics; tests/daemon/metrics_test.py has it read by a parser of another make.
#include "daemon/api/metrics_text.hpp"

#include <limits>

#include "tests/catch.hpp"

using namespace nestcup::daemon;

TEST_CASE("a family says what it is before its values", "[metrics]") {
  MetricsText metrics;
  metrics.family("drops_seconds", MetricKind::counter, "seconds", "Time that it dripped.");
  metrics.value({{"cup", "left"}, {"lid", "on"}}, 0.25);
  metrics.value({}, std::uint64_t{3});
  CHECK(metrics.text() ==
        "# TYPE drops_seconds counter\n"
        "# UNIT drops_seconds seconds\n"
        "# HELP drops_seconds Time that it dripped.\n"
        "drops_seconds_total{cup=\"left\",lid=\"on\"} 0.25\n"
        "drops_seconds_total 3\n"
        "# EOF\n");
}

TEST_CASE("names of benches cannot break out of a label", "[metrics]") {
  MetricsText metrics;
  metrics.family("cups", MetricKind::gauge, "", "a \"b\" \\ c");
  metrics.value({{"name", "x\"} 9\ncups{name=\"\\"}}, std::uint64_t{1});
  CHECK(metrics.text() ==
        "# TYPE cups gauge\n"
        "# HELP cups a \\\"b\\\" \\\\ c\n"
        "cups{name=\"x\\\"} 9\\ncups{name=\\\"\\\\\"} 1\n"
        "# EOF\n");
}

TEST_CASE("kinds have their endings, and numbers the words of the standard", "[metrics]") {
  MetricsText metrics;
  metrics.family("build", MetricKind::info, "", "b");
  metrics.value({{"version", "1"}}, std::uint64_t{1});
  metrics.family("state", MetricKind::stateset, "", "s");
  metrics.states({"idle", "busy"}, "busy");
  metrics.family("wait_seconds", MetricKind::summary, "seconds", "w");
  metrics.summary(2, 0.5);
  metrics.family("odd", MetricKind::gauge, "", "o");
  metrics.value({}, std::numeric_limits<double>::infinity());
  metrics.value({}, -std::numeric_limits<double>::infinity());
  metrics.value({}, std::numeric_limits<double>::quiet_NaN());
  const std::string text = metrics.text();
  CHECK(text.find("build_info{version=\"1\"} 1\n") != std::string::npos);
  CHECK(text.find("state{state=\"idle\"} 0\nstate{state=\"busy\"} 1\n") != std::string::npos);
  CHECK(text.find("wait_seconds_count 2\nwait_seconds_sum 0.5\n") != std::string::npos);
  CHECK(text.find("odd +Inf\nodd -Inf\nodd NaN\n") != std::string::npos);
}
