#include "sim/fault_kinds.hpp"

#include <fmt/format.h>

#include <algorithm>

namespace nestcup::sim {

namespace {

using Kind = LineFaultKind;
using Extent = FaultExtent;

constexpr std::array<FaultKind, 20> kinds{{
    {Kind::delay, "delay", Extent::window, true, true, "for for_s, all comes delay_s late"},
    {Kind::cut, "cut", Extent::frames, true, true,
     "count frames lose their end, line end included"},
    {Kind::corrupt, "corrupt", Extent::frames, true, true,
     "count frames have a byte in four replaced by another"},
    {Kind::stall, "stall", Extent::window, true, true, "for for_s nothing is sent"},
    {Kind::freeze, "freeze", Extent::window, true, true,
     "for for_s the last frame (answer to the same question) is sent again and again"},
    {Kind::garbage, "garbage", Extent::once, true, true,
     "count random bytes before the next frame"},
    {Kind::flood, "flood", Extent::once, true, true,
     "the next frame comes count times, one behind the other at rate_Bd (0: at once)"},
    {Kind::unplug, "unplug", Extent::cable, true, true, "the cable is out for for_s (0: for ever)"},
    {Kind::doubled, "double", Extent::frames, true, true,
     "count frames have a byte in eight sent twice"},
    {Kind::nul, "nul", Extent::frames, true, true,
     "count frames have a NUL byte put before a byte in eight"},
    {Kind::wrong_baud, "wrong-baud", Extent::window, true, true,
     "for for_s, frames are heard at baud_ratio times the board's bit rate"},
    {Kind::endless, "endless", Extent::once, true, false,
     "count printable bytes without a line end before the next frame"},
    {Kind::foreign, "foreign", Extent::once, true, true,
     "count frames of another device's talk before the next frame"},
    {Kind::late, "late", Extent::frames, true, true,
     "count frames come delay_s late, behind what is sent after them"},
    {Kind::asleep, "asleep", Extent::frames, true, true,
     "count frames are not sent: so many questions get no answer"},
    {Kind::hang_up, "hang-up", Extent::once, true, true,
     "half of the next frame; then, delay_s later (0.05 at least), as unplug"},
    {Kind::checksum, "checksum", Extent::frames, false, true, "count frames have a wrong CRC"},
    {Kind::address, "address", Extent::frames, false, true,
     "count frames say that they come from another address, with a right CRC"},
    {Kind::function, "function", Extent::frames, false, true,
     "count frames name another function, with a right CRC"},
    {Kind::exception, "exception", Extent::frames, false, true,
     "count answers are exceptions with the given code"},
}};

constexpr bool in_order() {
  for (std::size_t i = 0; i < kinds.size(); ++i) {
    if (static_cast<std::size_t>(kinds[i].kind) != i) return false;
  }
  return static_cast<std::size_t>(Kind::exception) + 1 == kinds.size();
}
static_assert(in_order(), "the table is in the order of LineFaultKind and has all of them");

}  // namespace

std::span<const FaultKind> fault_kinds() {
  return kinds;
}

const FaultKind& fault_kind(LineFaultKind kind) {
  return kinds[static_cast<std::size_t>(kind)];
}

std::optional<LineFaultKind> fault_kind_named(std::string_view name) {
  const auto* const found = std::find_if(kinds.begin(), kinds.end(),
                                         [&](const FaultKind& row) { return row.name == name; });
  if (found == kinds.end()) return std::nullopt;
  return found->kind;
}

bool fault_fits(LineFaultKind kind, Protocol protocol) {
  const FaultKind& row = fault_kind(kind);
  return protocol == Protocol::modbus_rtu ? row.for_modbus : row.for_lines;
}

std::string fault_names_for(Protocol protocol) {
  std::vector<std::string> names;
  for (const FaultKind& row : kinds) {
    if (fault_fits(row.kind, protocol)) names.push_back(fmt::format("\"{}\"", row.name));
  }
  return fmt::format("{}", fmt::join(names, ", "));
}

std::vector<std::string> fault_lines() {
  std::vector<std::string> lines;
  for (const FaultKind& row : kinds) {
    const char* only = !row.for_lines    ? " (modbus-rtu)"
                       : !row.for_modbus ? " (not modbus-rtu)"
                                         : "";
    lines.push_back(fmt::format("{}: {}{}", row.name, row.what, only));
  }
  return lines;
}

}  // namespace nestcup::sim
