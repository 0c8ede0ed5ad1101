// Program messages as an instrument takes them apart (IEEE 488.2-1992, section 7; SCPI-99, volume
// 1, sections 6 and 8).
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace nestcup::sim {

/// One command or query of a message, with its full path from the root of the command tree.
struct ScpiUnit {
  std::string header;      ///< as sent, without the leading colon; "*IDN?" or "SYST:ERR?"
  std::string parameters;  ///< as sent, without blanks around; empty for none
};

/// Takes a message apart at its semicolons. A header without a leading colon goes on from the path
/// of the one before it (SCPI-99, 6.2.4); common commands (`*`) neither follow nor change the path.
[[nodiscard]] std::vector<ScpiUnit> scpi_units(std::string_view message);

/// Whether a header is a short or long form of a pattern such as "SYSTem:ERRor[:NEXT]?": upper-case
/// letters are the short form, parts in brackets may be left out, case does not matter.
[[nodiscard]] bool scpi_matches(std::string_view header, std::string_view pattern);

/// The channels (1-based) that parameters name: "3", "(@3)", "(@1,3)" or "(@1:3)"; all for none.
/// @return nothing where the text is no such thing
[[nodiscard]] std::optional<std::vector<int>> scpi_channels(std::string_view parameters,
                                                            int channel_count);

}  // namespace nestcup::sim
