// Readings as the text of a trace file, and so in the one form that digests are made of.
#pragma once

#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "core/base/reading.hpp"

namespace nestcup {

/// Unit of each probe's Reading::raw; nothing where that is the temperature itself.
using RawUnits = std::vector<std::optional<std::string>>;

/// A raw column is named `<probe>_raw_<unit>`, and stands right behind `<probe>_degC`.
inline constexpr std::string_view raw_column_lead = "raw_";

/// Header and rows (no comments) of readings, times shifted by -origin_us; reads back as the same
/// numbers. One row for readings of one instant. A raw column stands where the unit is known and
/// any reading's raw quantity is not its temperature. Lines end with LF, numbers are the shortest
/// that read back as the same (with one decimal at least). The SHA-256 of this text is what a
/// record says of its readings.
[[nodiscard]] std::string trace_text(std::span<const Reading> readings,
                                     const std::vector<ProbeRole>& roles, const RawUnits& raw_units,
                                     TimeUs origin_us);

}  // namespace nestcup
