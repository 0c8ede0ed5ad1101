#include "daemon/api/metrics_text.hpp"

#include <fmt/format.h>

#include <cmath>

namespace nestcup::daemon {
namespace {

std::string_view kind_word(MetricKind kind) {
  switch (kind) {
    case MetricKind::counter:
      return "counter";
    case MetricKind::gauge:
      return "gauge";
    case MetricKind::info:
      return "info";
    case MetricKind::stateset:
      return "stateset";
    case MetricKind::summary:
      return "summary";
  }
  return "unknown";
}

std::string_view ending_of(MetricKind kind) {
  if (kind == MetricKind::counter) return "_total";
  return kind == MetricKind::info ? "_info" : "";
}

/// The escapes of label values and help texts; a line's end in a name must not begin a new line.
std::string escaped(std::string_view text) {
  std::string safe;
  for (const char letter : text) {
    if (letter == '\\' || letter == '"') safe += '\\';
    if (letter == '\n') {
      safe += "\\n";
    } else {
      safe += letter;
    }
  }
  return safe;
}

std::string number_text(double value) {
  if (std::isnan(value)) return "NaN";
  if (std::isinf(value)) return value > 0 ? "+Inf" : "-Inf";
  return fmt::format("{}", value);
}

}  // namespace

void MetricsText::family(std::string_view name, MetricKind kind, std::string_view unit,
                         std::string_view help) {
  name_ = name;
  ending_ = ending_of(kind);
  text_ += fmt::format("# TYPE {} {}\n", name, kind_word(kind));
  if (!unit.empty()) text_ += fmt::format("# UNIT {} {}\n", name, unit);
  text_ += fmt::format("# HELP {} {}\n", name, escaped(help));
}

void MetricsText::line(std::string_view ending, const MetricLabels& labels,
                       std::string_view number) {
  text_ += name_;
  text_ += ending;
  std::string_view before = "{";
  for (const auto& [name, value] : labels) {
    text_ += fmt::format("{}{}=\"{}\"", before, name, escaped(value));
    before = ",";
  }
  if (!labels.empty()) text_ += '}';
  text_ += fmt::format(" {}\n", number);
}

void MetricsText::value(const MetricLabels& labels, double value) {
  line(ending_, labels, number_text(value));
}

void MetricsText::value(const MetricLabels& labels, std::uint64_t value) {
  line(ending_, labels, fmt::format("{}", value));
}

void MetricsText::states(const std::vector<std::string_view>& states, std::string_view now) {
  const std::string label = name_;
  for (const std::string_view state : states) {
    line("", {{label, std::string(state)}}, state == now ? "1" : "0");
  }
}

void MetricsText::summary(std::uint64_t count, double sum) {
  line("_count", {}, fmt::format("{}", count));
  line("_sum", {}, number_text(sum));
}

}  // namespace nestcup::daemon
