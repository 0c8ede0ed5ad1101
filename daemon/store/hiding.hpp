// Whether results are hidden, as the store remembers it.
#pragma once

#include <string>

#include "core/base/result.hpp"
#include "core/store/store.hpp"

namespace nestcup::daemon {

/// Whether the store was left with results hidden.
/// @errors as Store::last_event; bad_data: an event that says nothing of it
[[nodiscard]] Result<bool> stored_as_hidden(const Store& store);
/// The event that keeps it in the store.
[[nodiscard]] StoredEvent hiding_event(TimeUs now_us, bool hidden, const std::string& who);

}  // namespace nestcup::daemon
