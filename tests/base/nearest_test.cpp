#include "core/base/nearest.hpp"

#include <vector>

#include "tests/catch.hpp"

using namespace nestcup;

TEST_CASE("edit distance counts insertions, omissions, replacements and swaps") {
  CHECK(edit_distance("", "") == 0);
  CHECK(edit_distance("", "cup") == 3);
  CHECK(edit_distance("column", "column") == 0);
  CHECK(edit_distance("colum", "column") == 1);
  CHECK(edit_distance("column", "colum") == 1);
  CHECK(edit_distance("colunn", "column") == 1);
  CHECK(edit_distance("coulmn", "column") == 1);
  CHECK(edit_distance("Column", "cOLUMN") == 0);
  CHECK(edit_distance("kitten", "sitting") == 3);
}

TEST_CASE("the nearest word is named only where it is a likely slip") {
  const std::vector<std::string> known{"name",    "device",   "baud",
                                       "decimal", "settle_s", "silence_s"};
  CHECK(nearest("devcie", known) == "device");
  CHECK(nearest("settle", known) == "settle_s");
  CHECK(nearest("Baud", known) == "baud");
  CHECK_FALSE(nearest("colour", known).has_value());
  CHECK_FALSE(nearest("", known).has_value());
  CHECK_FALSE(nearest("name", {}).has_value());
}

TEST_CASE("of equally near words the first is named") {
  const std::vector<std::string> known{"warm1", "warm2"};
  CHECK(nearest("warm", known) == "warm1");
}
