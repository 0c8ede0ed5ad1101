// A bundle: files that belong together, as they lie in an archive, a crate or a folder.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "core/base/result.hpp"

namespace nestcup {

struct BundleFile {
  std::string path;  ///< relative, folders by '/', UTF-8: "run-1/readings.csv"
  std::string bytes;
  std::string media_type;  ///< "text/csv"; empty where it is not known
  std::string about;       ///< what the file holds, in words; empty where it is not known
};

/// Holds that `path` stays below the folder it is put into, on every system: relative, UTF-8, no
/// "..", ".", empty part, backslash, drive letter, blank at an end or control character; at most
/// 1000 bytes, 255 a part.
/// @return what is wrong with it, after the path itself (bad_data)
[[nodiscard]] Result<void> check_bundle_path(std::string_view path);

/// Holds that all paths are good, none is there twice, and none is a file and a folder at once.
/// @errors bad_data, with the path
[[nodiscard]] Result<void> check_bundle(const std::vector<BundleFile>& files);

/// The same files below one more folder.
[[nodiscard]] std::vector<BundleFile> below_folder(std::string_view folder,
                                                   std::vector<BundleFile> files);

}  // namespace nestcup
