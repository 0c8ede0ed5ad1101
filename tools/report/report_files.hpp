// Where a report is written to.
#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "core/base/result.hpp"
#include "core/report/document/csv_tables.hpp"
#include "core/report/document/document.hpp"

namespace nestcup {

/// Writes the page (.html, or .md with its figures in a folder beside it).
/// @param replace  write over what is there
/// @return all files written, the page first
/// @errors usage: another ending; cannot_create: there already, or not to be written
[[nodiscard]] Result<std::vector<std::string>> write_page(const Document& document,
                                                          const std::filesystem::path& path,
                                                          bool replace);

/// Writes each table into `folder`, which is made where it is not there.
/// @errors cannot_create: a file is there already, or cannot be written
[[nodiscard]] Result<std::vector<std::string>> write_tables(const Document& document,
                                                            const std::filesystem::path& folder,
                                                            CsvKind kind, bool replace);

}  // namespace nestcup
