// A class for the wall: how far each bench is, and its results beside the others'.
#pragma once

#include <nlohmann/json.hpp>

#include "core/base/result.hpp"
#include "core/store/run_book.hpp"

namespace nestcup::daemon {

/// What is taken out of what a class shows.
struct ClassManner {
  bool letters = false;  ///< letters for the benches' names
  bool hidden = false;   ///< no results: who did what, and what the records warn of
};

/// The sheets of nestcup-pool (core/classroom/METHOD.md), each with "progress": by bench the number
/// of runs of each trial, the last run, and warnings of its record.
/// @param book  runs of many benches
/// @errors as pooled::collect
[[nodiscard]] Result<nlohmann::ordered_json> class_answer(const RunBook& book, ClassManner manner);

}  // namespace nestcup::daemon
