// From run records to what the chemistry takes of them.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "core/base/result.hpp"
#include "core/chemistry/run_facts.hpp"
#include "core/record/run_record.hpp"

namespace nestcup {

/// A record's run, or why it cannot be used.
struct RecordFacts {
  std::optional<RunFacts> facts;
  std::string left_out;  ///< empty, "struck out" or "unusable"
};

/// Temperatures of a finished run's record. What the scale of the cup's probe brings into the rise
/// is taken out of its u and becomes the probe's, shared by all runs with the same calibration.
/// @errors bad_data (key that is missing or of a wrong kind)
[[nodiscard]] Result<RecordFacts> record_facts(const Json& record);

}  // namespace nestcup
