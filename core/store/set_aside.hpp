// A store's file that is damaged, put under another name so that a new one can begin: nothing of it
// is ever deleted.
#pragma once

#include <string>
#include <vector>

#include "core/base/clock.hpp"
#include "core/base/result.hpp"

namespace nestcup {

/// Puts a new store in the place of one that is damaged, whose file and write-ahead log get other
/// names beside it, which begin with the store's own and ".damaged-" and the time. No connection of
/// this process may be open for writing, and the caller holds the StoreLock.
/// @param replacement  a whole store, closed, in the same folder: replacement_path()
/// @param wall_us      Unix time, us
/// @return the damaged file's new path
/// @errors io, not_permitted: nothing was renamed
[[nodiscard]] Result<std::string> replace_store(const std::string& store_path,
                                                const std::string& replacement, TimeUs wall_us);

/// Where a replacement is made.
[[nodiscard]] std::string replacement_path(const std::string& store_path);
/// Takes away what is left of a replacement that was not finished.
void drop_replacement(const std::string& store_path);
/// Goes on where replace_store was cut off between its renamings, by a kill or a power cut.
void finish_replacing(const std::string& store_path);

/// The files beside the store that were set aside and are still there, oldest first.
[[nodiscard]] std::vector<std::string> stores_set_aside(const std::string& store_path);

}  // namespace nestcup
