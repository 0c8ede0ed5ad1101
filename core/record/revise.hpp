// Striking out and restoring: a stored run gets a next revision with another status.
#pragma once

#include <string>

#include "core/base/result.hpp"
#include "core/store/store.hpp"

namespace nestcup {

/// Gives the run a revision with `status` ("struck" or "finished"); nothing is deleted.
/// @param which  number, id, or the unique end of an id
/// @return the run as it is then
/// @errors usage: it has that status already; no_input: no such run; as Store::add_revision
[[nodiscard]] Result<StoredRun> change_status(Store& store, const std::string& which,
                                              const std::string& status, const RevisionNote& note);

}  // namespace nestcup
