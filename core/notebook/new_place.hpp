// Files and folders that appear whole or not at all, and never in the place of another's.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "core/base/result.hpp"
#include "core/notebook/bundle.hpp"

namespace nestcup {

/// What happens to a file that is there already.
enum class IfThere { refuse, replace };

/// Writes a file aside under another name, flushes it to the disk, and gives it its name. The
/// folder must be there. Where only the last step fails, that the name is flushed too, the error
/// says so and the file stays.
/// @errors cannot_create (something is there already, no such folder), not_permitted, io
[[nodiscard]] Result<void> write_whole(const std::string& path, std::string_view bytes,
                                       IfThere if_there = IfThere::refuse);

/// The same for a folder with the files of a bundle in it; its parent must be there. A folder that
/// is there already is always refused.
/// @errors bad_data (`check_bundle`), otherwise as above
[[nodiscard]] Result<void> write_folder(const std::string& folder,
                                        const std::vector<BundleFile>& files);

}  // namespace nestcup
