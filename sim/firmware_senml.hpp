// What a board says in SenML JSON (RFC 8428): one pack a line, one record a probe.
#pragma once

#include <string>
#include <vector>

#include "sim/electronics.hpp"
#include "sim/firmware.hpp"

namespace nestcup::sim {

/// The name of a unit in RFC 8428, section 12.1; empty for those that it does not have.
[[nodiscard]] std::string_view senml_unit(RawUnit unit);

/// Packs end with LF. The first record carries what the others share (`bn`, `bu` and, where the
/// scenario says so, `bt`, `bv`, `bver`); `u` stands where a unit differs from `bu`. Where there is
/// no value, the board's word for it goes out as a string value (`vs`), or as `v` where it is a
/// number. A polled board answers the line "R".
class FirmwareSenml final : public Firmware {
 public:
  explicit FirmwareSenml(const Scenario& scenario);

  /// The banner.
  [[nodiscard]] std::string greeting() const override;
  /// A pack.
  [[nodiscard]] std::string report(const Report& report) const override;
  [[nodiscard]] std::vector<Answer> hear(std::string_view bytes, const Measure& measure) override;

 private:
  [[nodiscard]] std::string value_field(const Measured& measured, const Channel& channel) const;

  BoardSettings board_;
  std::vector<Channel> channels_;
  LineEar ear_;
};

}  // namespace nestcup::sim
