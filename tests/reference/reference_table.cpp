#include "tests/reference/reference_table.hpp"

#include <algorithm>
#include <fstream>

#include "core/base/numbers.hpp"
#include "tests/catch.hpp"

namespace nestcup {
namespace {

/// Lines of the table's body.
std::vector<std::string> body_of(const std::string& name) {
  std::ifstream file(std::string(NESTCUP_SOURCE_DIR) + "/tests/reference/" + name);
  REQUIRE(file);
  std::vector<std::string> lines;
  bool in_body = false;
  for (std::string line; std::getline(file, line);) {
    if (line.empty() || line.front() == '#') continue;
    if (in_body) lines.push_back(line);
    in_body = true;  // the first line is the header
  }
  return lines;
}

std::vector<double> numbers_in(std::string_view line) {
  std::vector<double> row;
  for (std::size_t from = 0; from <= line.size();) {
    const std::size_t comma = std::min(line.find(',', from), line.size());
    const auto number = parse_number(line.substr(from, comma - from));
    REQUIRE(number);
    row.push_back(*number);
    from = comma + 1;
  }
  return row;
}

}  // namespace

ReferenceRows reference_table(const std::string& name) {
  ReferenceRows rows;
  for (const std::string& line : body_of(name)) rows.push_back(numbers_in(line));
  REQUIRE_FALSE(rows.empty());
  return rows;
}

ReferenceRows reference_rows_of(const std::string& name, std::string_view word) {
  ReferenceRows rows;
  for (const std::string& line : body_of(name)) {
    const std::size_t comma = line.find(',');
    REQUIRE(comma != std::string::npos);
    if (std::string_view(line).substr(0, comma) != word) continue;
    rows.push_back(numbers_in(std::string_view(line).substr(comma + 1)));
  }
  REQUIRE_FALSE(rows.empty());
  return rows;
}

}  // namespace nestcup
