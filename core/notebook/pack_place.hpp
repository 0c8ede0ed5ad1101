// Where a pack is put: a folder, a zip archive, or an .eln file (a zip archive with one folder that
// has its name: the ELN Consortium's specification of the format).
#pragma once

#include <string>
#include <vector>

#include "core/base/result.hpp"
#include "core/notebook/archive.hpp"

namespace nestcup {

struct PackPlace {
  enum class Kind { folder, zip, eln };
  Kind kind = Kind::folder;
  std::string path;  ///< without a "/" at its end
};

/// The kind by the ending: .zip, .eln, or none (also any with "/" behind it) for a folder.
/// @errors usage: another ending, or no name
[[nodiscard]] Result<PackPlace> pack_place(const std::string& text);

/// "folder", "zip" or "eln".
[[nodiscard]] std::string_view kind_name(PackPlace::Kind kind);

/// Whether these are the files of a crate that this program made, as it made them.
/// @return what stands against it, with the file (bad_data)
[[nodiscard]] Result<void> check_own_crate(const std::vector<BundleFile>& files);

/// That the place is free; to be replaced, something may be there that is a crate of this program's
/// without a change, and of the same kind.
/// @errors cannot_create: something else is there, or anything, where nothing may be replaced; no
///         such folder above
[[nodiscard]] Result<void> check_place(const PackPlace& place, IfThere if_there);

/// Puts the crate there, whole or not at all; what it replaces is looked at again (`check_place`).
/// @param files    below the crate's folder
/// @param time_us  of an archive's entries
/// @return SHA-256 of an archive; empty for a folder
/// @errors as check_place, write_folder and write_archive
[[nodiscard]] Result<std::string> put_pack(const PackPlace& place,
                                           const std::vector<BundleFile>& files, TimeUs time_us,
                                           IfThere if_there);

}  // namespace nestcup
