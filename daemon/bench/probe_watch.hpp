// What becomes of the probes, told once a change: no reading, nonsense, frozen, well again.
#pragma once

#include <array>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "core/base/clock.hpp"
#include "core/sheet/port_settings.hpp"
#include "drivers/port_decoder.hpp"

namespace nestcup::daemon {

enum class ProbeHealth : std::uint8_t {
  starting,  ///< no reading yet, and not for long
  well,
  stale,   ///< no reading for a while, whatever arrives instead
  frozen,  ///< the same to the last bit for longer than its noise allows
};

[[nodiscard]] std::string_view health_name(ProbeHealth health);

/// A probe's change of health.
struct ProbeNews {
  std::size_t probe = 0;
  ProbeHealth health = ProbeHealth::well;
  std::string text;  ///< for a person
};

/// Looks at the probes of a bench now and then (every second or so).
class ProbeWatch {
 public:
  /// @param stale_after_s  without a reading
  ProbeWatch(std::vector<std::string> names, double stale_after_s, TimeUs now_us);

  /// The changes since the last look.
  [[nodiscard]] std::vector<ProbeNews> look(const std::vector<drivers::ProbeCounts>& probes,
                                            TimeUs now_us);
  [[nodiscard]] ProbeHealth health(std::size_t probe) const { return states_[probe].health; }
  /// Whether the newest reading is too old to be shown as the temperature now.
  [[nodiscard]] bool is_stale(const drivers::ProbeCounts& counts, TimeUs now_us) const;

 private:
  struct State {
    ProbeHealth health = ProbeHealth::starting;
    drivers::FaultCounts faults;  ///< at the last reading seen
    std::uint64_t readings = 0;
  };
  [[nodiscard]] ProbeHealth health_of(const drivers::ProbeCounts& counts, TimeUs now_us) const;

  std::vector<std::string> names_;
  double stale_after_s_;
  TimeUs since_us_;
  std::vector<State> states_;
};

/// "12 bad_number, 3 out_of_range": the faults counted since `before`; empty for none.
[[nodiscard]] std::string faults_since(const drivers::FaultCounts& before,
                                       const drivers::FaultCounts& now);

}  // namespace nestcup::daemon
