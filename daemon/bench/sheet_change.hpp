// Changes of the sheet while the bench runs. All on the writer's thread.
#pragma once

#include <nlohmann/json.hpp>
#include <string>

#include "core/sheet/amount_edit.hpp"
#include "daemon/bench/bench.hpp"

namespace nestcup::daemon {

struct AmountRequest {
  AmountChange change;
  std::string reason;  ///< may be empty
  std::string who;
};

/// Sets one amount in the sheet's file and in the sheet in use. The text before is kept in the
/// store; an event says who set what from what to what, and why.
/// @return {"trial", "part", "key", "before", "value", "changed", "sheet"}: setting `before` again
///   takes it back
/// @errors as edit_amount and replace_file; usage: the bench has no sheet; try_later: the file has
///   another text than the sheet in use
[[nodiscard]] Result<nlohmann::ordered_json> set_amount(Bench& bench, Store& store,
                                                        const AmountRequest& request);

/// Takes up the sheet's file as it is now. The text before is kept in the store.
/// @return {"changed", "sheet", "next_trial"}
/// @errors as check_sheet (every problem in the text); usage: the bench has no sheet; as
///   Bench::use_sheet
[[nodiscard]] Result<nlohmann::ordered_json> reload_sheet(Bench& bench, Store& store,
                                                          const std::string& who);

}  // namespace nestcup::daemon
