// What the demo leaves in its folder.
#pragma once

#include <filesystem>
#include <string>

#include "core/base/result.hpp"
#include "tools/demo/outcome.hpp"

namespace nestcup::demo {

/// Writes truth.json and, for each run found, notebook/<date bench trial end of id>/ with run.json,
/// readings.csv, chart.svg and chart.png; then report.html with the table and the charts.
/// @errors cannot_create, io; as Store's
[[nodiscard]] Result<void> keep_day(const std::filesystem::path& folder, const Store& store,
                                    const Day& day);

/// Writes a whole new file.
/// @errors cannot_create
[[nodiscard]] Result<void> write_new(const std::filesystem::path& path, const std::string& text);

}  // namespace nestcup::demo
