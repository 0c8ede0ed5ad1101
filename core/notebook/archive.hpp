// Zip archives of bundles (PKWARE APPNOTE 6.3; an .eln file is one, too): the same bytes for the
// same files each time, and careful reading of what came from elsewhere.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "core/base/clock.hpp"
#include "core/base/result.hpp"
#include "core/notebook/bundle.hpp"
#include "core/notebook/new_place.hpp"

namespace nestcup {

/// The files as a zip archive, in their order, each with this time (Unix time, us; kept in UTC to
/// two seconds, within 1980 to 2107; without one, the first moment of 1980).
/// @param name  for messages
/// @errors bad_data (`check_bundle`, or no files at all), io (the library fails)
[[nodiscard]] Result<std::string> archive_bytes(const std::vector<BundleFile>& files,
                                                std::optional<TimeUs> time_us,
                                                const std::string& name);

/// `archive_bytes` to a file (`write_whole`).
[[nodiscard]] Result<void> write_archive(const std::string& path,
                                         const std::vector<BundleFile>& files,
                                         std::optional<TimeUs> time_us,
                                         IfThere if_there = IfThere::refuse);

/// What an archive from elsewhere may hold.
struct ArchiveLimits {
  std::uint64_t archive_bytes = 1ULL << 30;
  std::uint64_t total_bytes = 1ULL << 30;  ///< of all files, unpacked
  std::uint64_t entries = 10'000;
  /// How many times larger than packed one file may be; below a mebibyte that does not matter.
  /// Readings that hardly change come to 40 or so, deflate ends at 1032.
  std::uint64_t ratio = 250;
};

/// The files of a zip archive, in its order; entries for folders are looked at and left out.
/// @param name  for messages
/// @errors bad_data, with archive and entry: no zip, cut short or damaged, a path that leads out
///         (`check_bundle`), a link, encrypted, more than the limits allow
[[nodiscard]] Result<std::vector<BundleFile>> read_archive_bytes(std::string_view bytes,
                                                                 const std::string& name,
                                                                 const ArchiveLimits& limits = {});

/// @errors no_input (no such file), not_permitted, io; otherwise as above
[[nodiscard]] Result<std::vector<BundleFile>> read_archive(const std::string& path,
                                                           const ArchiveLimits& limits = {});

}  // namespace nestcup
