// Single steps by which files come to their names and to the disk, for those who take several.
#pragma once

#include <string>

namespace nestcup {

/// Gives a file another name in one step, unless something has that name already.
/// @return errno (EEXIST where it is taken), or 0
[[nodiscard]] int rename_unless_taken(const std::string& from, const std::string& to);

/// A new name is on the disk when its folder is. @return errno, or 0
[[nodiscard]] int sync_folder(const std::string& folder);

}  // namespace nestcup
