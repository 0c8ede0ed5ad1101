// What runs on a simulated board: turns measurements into bytes, and questions into answers.
#pragma once

#include <functional>
#include <memory>
#include <string>
#include <string_view>
#include <vector>

#include "core/sheet/transducer_settings.hpp"
#include "sim/scenario.hpp"

namespace nestcup::sim {

/// What a channel's electronics found.
enum class Found : std::uint8_t {
  value,
  nothing,   ///< it knows that there is no probe, or none that works
  overload,  ///< more than it can measure
};

/// One channel's measurement.
struct Measured {
  double value = 0.0;  ///< in the channel's unit; 0 without one
  Found found = Found::value;
};

/// The measurements of all channels, in the scenario's order of probes.
struct Report {
  std::vector<Measured> channels;
  double at_s = 0.0;      ///< scenario time
  double uptime_s = 0.0;  ///< since the board started
};

/// Bytes that answer a question.
struct Answer {
  std::string bytes;
  std::string question;  ///< the same for the same question
};

/// A board's program. It has no clock and no port: those are the board's.
class Firmware {
 public:
  /// Gives fresh measurements.
  using Measure = std::function<Report()>;

  Firmware() = default;
  Firmware(const Firmware&) = delete;
  Firmware& operator=(const Firmware&) = delete;
  virtual ~Firmware() = default;

  /// Sent when the board has started.
  [[nodiscard]] virtual std::string greeting() const = 0;
  /// Sent unasked, once every interval, by a board that is not polled.
  [[nodiscard]] virtual std::string report(const Report& report) const = 0;
  /// Something that a reader has to skip; empty where the protocol has no such thing.
  [[nodiscard]] virtual std::string remark(double uptime_s) const;
  /// Takes bytes that came from the other side, in whatever pieces.
  /// @param measure  called once for each question that wants new measurements
  [[nodiscard]] virtual std::vector<Answer> hear(std::string_view bytes,
                                                 const Measure& measure) = 0;
};

/// The firmware of the scenario's protocol.
[[nodiscard]] std::unique_ptr<Firmware> make_firmware(const Scenario& scenario);

/// Lines joined, each with the end given.
[[nodiscard]] std::string joined_lines(const std::vector<std::string>& lines,
                                       std::string_view line_end);

/// Longest request that a small board has memory for, bytes.
inline constexpr std::size_t longest_request = 64;

/// Cuts what is heard into lines that end with LF (CR LF). Of a line that is too long for a board's
/// memory the rest is forgotten.
class LineEar {
 public:
  explicit LineEar(std::size_t longest) : longest_(longest) {}
  /// The lines that are whole now, without blanks at their ends.
  [[nodiscard]] std::vector<std::string> hear(std::string_view bytes);

 private:
  std::size_t longest_;
  std::string heard_;
};

}  // namespace nestcup::sim
