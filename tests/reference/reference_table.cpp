#include "tests/reference/reference_table.hpp"

#include <fstream>

#include "core/base/numbers.hpp"
#include "tests/catch.hpp"

namespace nestcup {

std::vector<std::vector<double>> reference_table(const std::string& name) {
  std::ifstream file(std::string(NESTCUP_SOURCE_DIR) + "/tests/reference/" + name);
  REQUIRE(file);
  std::vector<std::vector<double>> rows;
  bool in_body = false;
  for (std::string line; std::getline(file, line);) {
    if (line.empty() || line.front() == '#') continue;
    if (!in_body) {
      in_body = true;  // the header
      continue;
    }
    std::vector<double> row;
    for (std::size_t from = 0; from <= line.size();) {
      const std::size_t comma = std::min(line.find(',', from), line.size());
      const auto number = parse_number(line.substr(from, comma - from));
      REQUIRE(number);
      row.push_back(*number);
      from = comma + 1;
    }
    rows.push_back(std::move(row));
  }
  REQUIRE_FALSE(rows.empty());
  return rows;
}

}  // namespace nestcup
