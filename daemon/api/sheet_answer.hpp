// The sheet in use as callers see it: what is planned, what was done, what comes next.
#pragma once

#include <nlohmann/json.hpp>

#include "core/base/result.hpp"
#include "core/store/run_book.hpp"
#include "daemon/bench/trial_book.hpp"

namespace nestcup::daemon {

/// {"title", "sha256", "file_changed": whether the file has another text by now (null where it
/// cannot be read), "next_trial", "trials": [{"name", "purpose", "equation", "repeats",
/// "typed_runs", "amounts": [{"part", "key", "value", "u_key", "u", "u_from"}], "runs": [{"number",
/// "id", "revision", "status", "repeat", "mixed_at", "corrected_rise_K", "findings"}]}]}; null
/// without a sheet.
/// @param hidden  without rises
/// @errors as RunBook::runs; bad_data: a record that cannot be read
[[nodiscard]] Result<nlohmann::ordered_json> sheet_answer(const TrialState& state,
                                                          const RunBook& book, bool hidden);

}  // namespace nestcup::daemon
