// What a device that talks by itself seems to speak, and the bench-file entries for it.
#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace nestcup {

/// A value of the device's lines that can be a probe's.
struct ProposedProbe {
  std::string place;    ///< "column = 1" or "key = \"T1\"", as in a bench file
  double last = 0.0;    ///< the number seen last
  bool likely = false;  ///< reads like a temperature of a bench, -20 to 110 degC
  std::string unit{};   ///< where the device says it
};

/// What was heard.
struct Heard {
  std::size_t bytes = 0;
  std::size_t whole_lines = 0;
  std::size_t data_lines = 0;            ///< those that the protocol proposed would take
  double odd_share = 0.0;                ///< of the bytes that no line of text holds
  std::string protocol;                  ///< empty: none fits
  std::vector<std::string> port_keys{};  ///< further keys of the [[port]]
  std::vector<ProposedProbe> probes{};
  std::string advice;  ///< what to try where nothing fits
};

/// Looks through all bytes since the port was opened; what comes before the first line's end is
/// left out.
[[nodiscard]] Heard hear(std::string_view bytes);

/// [[port]] and [[probe]] entries to paste; empty where no protocol fits.
/// @param device  as it should stand in the bench file
[[nodiscard]] std::string entries_text(const Heard& heard, const std::string& device, int baud);

/// A line as a person can read it: other bytes as \xHH.
[[nodiscard]] std::string readable(std::string_view line);

}  // namespace nestcup
