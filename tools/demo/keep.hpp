// What the demo leaves in its folder.
#pragma once

#include <filesystem>
#include <string>

#include "core/base/result.hpp"
#include "tools/demo/outcome.hpp"
#include "tools/demo/worked.hpp"

namespace nestcup::demo {

/// Writes truth.json, what the sheet came to (keep_results), and report.html with tables and
/// charts.
/// @errors cannot_create, io; as Store's
[[nodiscard]] Result<void> keep_day(const std::filesystem::path& folder, const Store& store,
                                    const Day& day, const Worked& worked);

/// Writes a whole new file.
/// @errors cannot_create
[[nodiscard]] Result<void> write_new(const std::filesystem::path& path, const std::string& text);

}  // namespace nestcup::demo
