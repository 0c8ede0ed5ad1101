// Measured values as OpenMetrics 1.0 text: what monitoring systems read.
#pragma once

#include <cstdint>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

namespace nestcup::daemon {

inline constexpr const char* metrics_content_type =
    "application/openmetrics-text; version=1.0.0; charset=utf-8";

enum class MetricKind : std::uint8_t { counter, gauge, info, stateset, summary };

/// Label names (letters and "_") with their values, which may be any UTF-8 text.
using MetricLabels = std::vector<std::pair<std::string_view, std::string>>;

/// The text grows a family at a time: first what it is, then its values.
class MetricsText {
 public:
  /// @param unit  empty, or what the name ends in: "seconds" of "process_cpu_seconds"
  void family(std::string_view name, MetricKind kind, std::string_view unit, std::string_view help);
  /// A value of the family begun last. Counters get "_total", infos "_info" behind the name.
  void value(const MetricLabels& labels, double value);
  void value(const MetricLabels& labels, std::uint64_t value);
  /// A state set: one value for each of `states`, 1 for the one that holds.
  void states(const std::vector<std::string_view>& states, std::string_view now);
  /// A summary without quantiles.
  void summary(std::uint64_t count, double sum);

  /// All of it with its end.
  [[nodiscard]] std::string text() const { return text_ + "# EOF\n"; }

 private:
  void line(std::string_view ending, const MetricLabels& labels, std::string_view number);

  std::string text_;
  std::string name_;
  std::string_view ending_;
};

}  // namespace nestcup::daemon
