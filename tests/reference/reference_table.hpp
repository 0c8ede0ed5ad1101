// Tables of published check values: '#' lines give the source, then a header and rows of numbers.
#pragma once

#include <string>
#include <vector>

namespace nestcup {

/// Rows of tests/reference/NAME without comments and header; a test fails where it cannot be read.
[[nodiscard]] std::vector<std::vector<double>> reference_table(const std::string& name);

}  // namespace nestcup
