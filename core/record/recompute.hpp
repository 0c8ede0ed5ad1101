// A stored run worked out anew: from its readings, by the sheet as it is now.
#pragma once

#include <optional>
#include <string>

#include "core/base/result.hpp"
#include "core/record/run_record.hpp"
#include "core/sheet/sheet.hpp"
#include "core/store/store.hpp"

namespace nestcup {

/// What came of it.
struct Recomputed {
  StoredRun run;              ///< as it stands in its book
  Json before;                ///< its record
  std::optional<Json> after;  ///< as the next revision; nothing where nothing differs
  std::string why;            ///< why it differs ("sheet changed"), or why the run was left out
};

/// Makes a run's record anew. Readings, marks, wanted after period and calibrations are those of
/// the run; amounts are the sheet's where it is the run's own (by its title), else those of the
/// sheet that the book keeps. The trial stays; where the sheet has it no longer, the run stays
/// with the sheet that had it.
/// @errors bad_data: the record; as RunBook::readings_about
[[nodiscard]] Result<Recomputed> recompute(const RunBook& book, const StoredRun& run,
                                           const std::optional<Sheet>& sheet);

/// Stores what differs as the run's next revision, and keeps the sheet.
/// @param note  its `reason` may be empty: then `why` stands there
/// @errors as Store::add_revision
[[nodiscard]] Result<void> store_recomputed(Store& store, const Recomputed& recomputed,
                                            const std::optional<Sheet>& sheet, RevisionNote note);

}  // namespace nestcup
