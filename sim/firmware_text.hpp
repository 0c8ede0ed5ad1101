// What a small board says: lines of text with one column a probe.
#pragma once

#include <string>
#include <vector>

#include "sim/electronics.hpp"
#include "sim/firmware.hpp"

namespace nestcup::sim {

/// The board's words. All lines end with CR LF; a polled board answers the line "R".
class FirmwareText final : public Firmware {
 public:
  explicit FirmwareText(const Scenario& scenario);

  /// Banner and column heading.
  [[nodiscard]] std::string greeting() const override;
  /// One line of measurements.
  [[nodiscard]] std::string report(const Report& report) const override;
  [[nodiscard]] std::string remark(double uptime_s) const override;
  [[nodiscard]] std::vector<Answer> hear(std::string_view bytes, const Measure& measure) override;

 private:
  BoardSettings board_;
  std::vector<Channel> channels_;
  LineEar ear_;
};

}  // namespace nestcup::sim
