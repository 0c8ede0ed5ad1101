// What a small board says: lines of text with one column a probe.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "sim/scenario.hpp"

namespace nestcup::sim {

/// The board's words. All lines end with CR LF.
class FirmwareText {
 public:
  explicit FirmwareText(const Scenario& scenario);

  /// Banner and column heading, as sent when the board has started.
  [[nodiscard]] std::string greeting() const;
  /// One line of readings (degC, in the scenario's order of probes).
  /// @param uptime_s  since the board started
  [[nodiscard]] std::string data_line(const std::vector<double>& readings, double uptime_s) const;
  /// A remark that a reader has to skip.
  [[nodiscard]] std::string comment_line(double uptime_s) const;

  /// Takes bytes that came from the other side.
  /// @return how often a reading was asked for: whole lines "R"; others are passed over
  [[nodiscard]] int requests_in(std::string_view bytes);

 private:
  BoardSettings board_;
  std::vector<std::string> names_;
  std::vector<double> steps_K_;
  std::string heard_;  ///< a request line that is not whole yet
};

}  // namespace nestcup::sim
