// The truth of a simulation as JSON.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "core/base/clock.hpp"
#include "core/base/result.hpp"
#include "sim/bench.hpp"

namespace nestcup::sim {

/// Which simulation a truth belongs to, and how its time lies on the wall clock.
struct TruthHead {
  std::string scenario;
  std::uint64_t seed = 0;
  /// Only on a line: scenario time s is at Unix time started_wall_us + s * 1e6 / speed.
  std::optional<TimeUs> started_wall_us{};
  std::optional<double> speed{};
};

/// {"format":"nestcup-sim-truth","version":1,"scenario":...,"seed":...,"started_wall_us":...,
/// "speed":...,"mixings":[{"trial","number","mixing_time_s","corrected_rise_K",
/// "cup_at_mixing_degC","added_degC","final_degC"}]}; what is not known is null.
[[nodiscard]] std::string truth_json(const TruthHead& head, const std::vector<TrialTruth>& truth);

/// Writes `text` to `path` so that a reader sees either the old file or the whole new one.
/// @errors cannot_create, io
[[nodiscard]] Result<void> write_whole(const std::string& path, const std::string& text);

}  // namespace nestcup::sim
