// What a store owes to its notebooks, for people and for scripts.
#pragma once

#include <string>
#include <vector>

#include "core/record/run_record.hpp"
#include "core/store/outbox.hpp"

namespace nestcup {

/// A notebook with the first of what it is owed.
struct OwedToNotebook {
  NotebookCount count;
  std::vector<OwedRevision> first;
};

/// @param notebooks  only these by name; all where empty
/// @param most       so many revisions a notebook
[[nodiscard]] Result<std::vector<OwedToNotebook>> owed_in(const Store& store,
                                                          const std::vector<std::string>& notebooks,
                                                          int most);

/// @param now_us  Unix time
[[nodiscard]] std::string owed_page(const std::vector<OwedToNotebook>& notebooks, TimeUs now_us);
[[nodiscard]] Json owed_json(const std::vector<OwedToNotebook>& notebooks);

}  // namespace nestcup
