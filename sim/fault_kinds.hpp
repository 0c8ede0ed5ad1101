// The kinds of faults that a line can have: their names and what each does, in one table.
#pragma once

#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "sim/board_settings.hpp"

namespace nestcup::sim {

/// How long a fault is at work.
enum class FaultExtent : std::uint8_t {
  window,  ///< on every frame for `for_s`
  frames,  ///< on the next `count` frames
  once,    ///< on the next frame alone
  cable,   ///< on the cable, not on frames
};

/// One kind of fault.
struct FaultKind {
  LineFaultKind kind = LineFaultKind::stall;
  std::string_view name;  ///< as scenario files spell it
  FaultExtent extent = FaultExtent::window;
  bool for_lines = true;   ///< means something where frames are lines (text, SenML, SCPI)
  bool for_modbus = true;  ///< and for Modbus RTU
  std::string_view what;   ///< in one line
};

/// All kinds, in the order of LineFaultKind.
[[nodiscard]] std::span<const FaultKind> fault_kinds();
[[nodiscard]] const FaultKind& fault_kind(LineFaultKind kind);
/// The kind of this name; nothing where there is none.
[[nodiscard]] std::optional<LineFaultKind> fault_kind_named(std::string_view name);
/// Whether a kind means anything for a protocol.
[[nodiscard]] bool fault_fits(LineFaultKind kind, Protocol protocol);
/// The names of the kinds that a protocol can have, in quotes, for messages.
[[nodiscard]] std::string fault_names_for(Protocol protocol);
/// The table as text for the help: a line a kind, without line ends.
[[nodiscard]] std::vector<std::string> fault_lines();

}  // namespace nestcup::sim
