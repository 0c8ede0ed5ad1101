// The electronics between a probe and the board's program: what it makes of a temperature, and of a
// probe that is broken.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "core/sheet/transducer_settings.hpp"
#include "sim/bench.hpp"
#include "sim/firmware.hpp"
#include "sim/scenario.hpp"

namespace nestcup::sim {

/// What a board knows of one of its channels.
struct Channel {
  std::string name;
  RawUnit unit = RawUnit::degC;
  int decimals = 2;  ///< that write its last digit
  RegisterSettings registers;
};

/// The channels of a scenario's board, in the order of its probes.
[[nodiscard]] std::vector<Channel> channels_of(const Scenario& scenario);

/// Checks what only arithmetic can tell of a sensor (that the law of a thermistor is one).
/// @errors bad_configuration: what is wrong
[[nodiscard]] Result<void> check_sensor(const TransducerSettings& sensor);

/// Turns temperatures into what the scenario's electronics sends.
///
/// - A device that sends temperatures notices a broken probe: it has nothing.
/// - An ohmmeter: open is an overload, shorted is 0 ohm (with the leads).
/// - A divider: the output goes to one of its rails.
/// - A thermocouple amplifier: open is an overload (it draws the input up); a thermocouple that is
///   shorted at the board gives no emf, so it reads the cold junction.
class Electronics {
 public:
  explicit Electronics(const Scenario& scenario);

  /// @param readings_degC  of Bench::read(), one a probe
  [[nodiscard]] std::vector<Measured> measure(const std::vector<double>& readings_degC,
                                              const Bench& bench) const;

 private:
  struct Input {
    RawUnit unit = RawUnit::degC;
    double step = 0.0;  ///< of what is sent, in its unit; 0 for none
    TransducerSettings sensor;
    SteinhartHart law;  ///< of a thermistor
    std::optional<std::size_t> junction{};
  };

  [[nodiscard]] static Measured measure_one(const Input& input, double reading_degC,
                                            Condition condition, double junction_degC);

  std::vector<Input> inputs_;
};

}  // namespace nestcup::sim
