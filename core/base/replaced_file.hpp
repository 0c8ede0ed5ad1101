// A file's content replaced as a whole.
#pragma once

#include <string>
#include <string_view>

#include "core/base/result.hpp"

namespace nestcup {

/// Puts `bytes` in the place of an existing file. Whoever reads it, also after a crash or a power
/// cut, finds the old content or the new, whole; on return the new one is on the disk. Mode stays,
/// owner and group as far as this process may give them. Where `path` is a symbolic link, the file
/// that it points to is replaced. One writer at a time; a file ".NAME.new" beside it, as a crash
/// may leave it, is replaced the next time.
/// @errors no_input: no such file; not_permitted; io: the disk is full or fails. The old content
///   stays then, unless it was the folder's sync, the very last step, that failed.
[[nodiscard]] Result<void> replace_file(const std::string& path, std::string_view bytes);

}  // namespace nestcup
