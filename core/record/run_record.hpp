// The run record: the finished, immutable result of one run as JSON (run_record.schema.json).
#pragma once

#include <nlohmann/json.hpp>
#include <optional>
#include <string>
#include <vector>

#include "core/analysis/run/run_analysis.hpp"
#include "core/analysis/run/run_follower.hpp"
#include "core/base/reading.hpp"
#include "core/record/trace_text.hpp"

namespace nestcup {

using Json = nlohmann::ordered_json;

/// What a record says beside the readings: where they come from and what they are about.
struct RecordContext {
  std::string source;  ///< trace file name, or "bench"
  std::optional<std::string> bench;
  Json sheet = nullptr;                   ///< {"title", "sha256"} or null
  Json trial = nullptr;                   ///< {"name", "number", "purpose"} or null
  Json probes = Json::array();            ///< as probe_json gives them
  std::optional<TimeUs> started_wall_us;  ///< Unix time of the run's first reading
  std::optional<bool> clock_synchronised;
};

/// One entry of the record's `probes`.
struct ProbeFacts {
  std::string name;
  ProbeRole role = ProbeRole::cup;
  std::optional<std::string> port;
  std::optional<std::string> protocol;
  std::optional<std::string> transducer;
  std::optional<double> tolerance_K;
  Json calibration = nullptr;             ///< as calibration_json gives it; replaces the tolerance
  Json time_constant_s = nullptr;         ///< {"value", "u"}: of a plunge into stirred liquid
  std::optional<std::string> raw_unit{};  ///< of Reading::raw
};
[[nodiscard]] Json probe_json(const ProbeFacts& probe);

/// A finished run with its analysis and its record.
struct MadeRecord {
  RunAnalysis analysis;
  Json record;
};

/// Analyses the run and writes its record, revision 1.
/// @param id         UUIDv7 of the run
/// @param origin_us  where the record's axis begins: the run's first reading for a bench, 0 (the
///                   trace's own zero) for a replay
[[nodiscard]] MadeRecord make_record(const FinishedRun& run, const std::vector<ProbeRole>& roles,
                                     const RecordContext& context, const std::string& id,
                                     TimeUs origin_us);

/// Units of the raw quantities of a record's probes, in their order.
[[nodiscard]] RawUnits raw_units_of(const Json& probes);

/// A next revision of `record` with another status ("struck" or "finished").
[[nodiscard]] Json with_status(Json record, const std::string& status, int revision);

}  // namespace nestcup
