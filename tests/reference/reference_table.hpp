// Tables of published check values: '#' lines give the source, then a header and rows of numbers.
#pragma once

#include <string>
#include <string_view>
#include <vector>

namespace nestcup {

using ReferenceRows = std::vector<std::vector<double>>;

/// Rows of tests/reference/NAME without comments and header; a test fails where it cannot be read.
[[nodiscard]] ReferenceRows reference_table(const std::string& name);

/// The same of a table whose first column is a word: the rows with this word, without that column.
[[nodiscard]] ReferenceRows reference_rows_of(const std::string& name, std::string_view word);

}  // namespace nestcup
