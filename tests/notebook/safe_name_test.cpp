#include "core/notebook/safe_name.hpp"

#include "tests/catch.hpp"

using namespace nestcup;

TEST_CASE("names keep what every file system takes") {
  CHECK(safe_name("oxide-2") == "oxide-2");
  CHECK(safe_name("S\xC3\xA4ure (0.5 mol)") == "S\xC3\xA4ure (0.5 mol)");
}

TEST_CASE("names lose what leads out of the folder or is lost elsewhere") {
  CHECK(safe_name("../../etc/passwd") == "_.._etc_passwd");
  CHECK(safe_name("a/b\\c:d*e?f\"g<h>i|j") == "a_b_c_d_e_f_g_h_i_j");
  CHECK(safe_name(std::string("a\0b\n", 4)) == "a_b_");
  CHECK(safe_name(".hidden") == "hidden");
  CHECK(safe_name("ends. ") == "ends");
  CHECK(safe_name("").size() == 1);
  CHECK(safe_name("...").size() == 1);
  CHECK(safe_name("con") == "_con");
  CHECK(safe_name("LPT1.txt") == "_LPT1.txt");
  CHECK(safe_name("LPT10") == "LPT10");
  CHECK(safe_name("\xFF\xFE") == "__");
}

TEST_CASE("long names are cut between characters") {
  std::string words;
  for (int i = 0; i < 50; ++i) words += "\xC3\xA4";
  const std::string name = safe_name(words);
  CHECK(name.size() == 60);
  CHECK(safe_name("x" + words).size() == 59);
}
