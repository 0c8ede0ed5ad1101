// Files and folders that appear whole or not at all, and never in the place of another's.
#pragma once

#include <functional>
#include <string>
#include <string_view>
#include <vector>

#include "core/base/result.hpp"
#include "core/notebook/bundle.hpp"

namespace nestcup {

/// What happens to a file that is there already.
enum class IfThere { refuse, replace };

/// How names of files under way are marked, so that their left-overs can be told from others': the
/// process's number, where nothing else is given.
[[nodiscard]] std::string usual_mark();

/// Writes a file aside under another name, flushes it to the disk, and gives it its name. The
/// folder must be there. Where only the last step fails, that the name is flushed too, the error
/// says so and the file stays.
/// @errors cannot_create (something is there already, no such folder), not_permitted, io
[[nodiscard]] Result<void> write_whole(const std::string& path, std::string_view bytes,
                                       IfThere if_there = IfThere::refuse,
                                       const std::string& mark = usual_mark());

/// The same for a folder with the files of a bundle in it; its parent must be there. A folder that
/// is there already is always refused.
/// @errors bad_data (`check_bundle`), otherwise as above
[[nodiscard]] Result<void> write_folder(const std::string& folder,
                                        const std::vector<BundleFile>& files,
                                        const std::string& mark = usual_mark());

/// Puts new bytes in the place of a file's known ones. What anyone else wrote in the meantime
/// stays: both files change places in one step, and back where the old one was not what was known.
/// @param known  whether these bytes may be replaced
/// @return whether they were; false where others' bytes are there, or the file system cannot let
/// two
///         files change places
/// @errors as write_whole
[[nodiscard]] Result<bool> replace_known(const std::string& path, std::string_view bytes,
                                         const std::function<bool(const std::string&)>& known,
                                         const std::string& mark = usual_mark());

/// Removes what writers with this mark left in a folder when they were cut off. A file whose bytes
/// are not known stays, under a name that shows it ("page.kept-0.md").
/// @errors as write_whole
[[nodiscard]] Result<void> remove_left_overs(const std::string& folder, const std::string& mark,
                                             const std::function<bool(const std::string&)>& known);

}  // namespace nestcup
