// Commands that change the store themselves where no daemon does it for them.
#pragma once

#include <functional>
#include <string>

#include "core/base/result.hpp"
#include "core/store/store.hpp"

namespace nestcup {

/// A note of the person at the keyboard, now.
[[nodiscard]] RevisionNote note_now(const std::string& action, const std::string& reason);

/// Opens an existing store to be written, under its lock, for `work`.
/// @errors try_later: another process writes it; as Store::open; as `work`
[[nodiscard]] Result<void> change_store(const std::string& path,
                                        const std::function<Result<void>(Store&)>& work);

}  // namespace nestcup
