// Giving a stored run to a trial by hand.
#pragma once

#include <optional>
#include <string>

#include "core/base/result.hpp"
#include "core/sheet/sheet.hpp"
#include "core/store/store.hpp"

namespace nestcup {

/// The trial's name that means none.
inline constexpr const char* no_trial = "none";

struct Assignment {
  std::string run;    ///< number, id, or the unique end of an id
  std::string trial;  ///< name, or no_trial
  std::optional<Sheet>
      sheet;  ///< absent: the one that the run's record names, as the store keeps it
};

/// Gives the run a revision that belongs to the trial, as its next repeat, with the mixture's rise
/// by the sheet's amounts; the store keeps the sheet. Nothing is deleted.
/// @return the run as it is then
/// @errors usage: no such trial (says the nearest), it belongs there already, or no sheet is known;
///         no_input: no such run; bad_data: the record or the kept sheet; as Store::add_revision
[[nodiscard]] Result<StoredRun> assign_run(Store& store, const Assignment& assignment,
                                           const RevisionNote& note);

/// "trial oxide, repeat 2", or "in no trial".
[[nodiscard]] std::string trial_words(const StoredRun& run);

}  // namespace nestcup
