#include <algorithm>
#include <sstream>
#include <vector>

#include "tests/catch.hpp"
#include "tools/cli/lint.hpp"
#include "tools/cli/program.hpp"
#include "tools/commands.hpp"

using namespace nestcup;

TEST_CASE("the table of commands has no faults") {
  for (const std::string& fault : cli::description_faults(nestcup_program())) FAIL_CHECK(fault);
}

TEST_CASE("a wrong command names the near one and ends with 64") {
  std::istringstream in;
  std::ostringstream out, err;
  cli::Streams streams{"nestcup", in, out, err};
  const std::vector<std::string> words{"replya"};
  CHECK(cli::run_program(nestcup_program(), words, streams) == 64);
  CHECK_THAT(err.str(), ContainsSubstring("replay"));
  CHECK(out.str().empty());
}
