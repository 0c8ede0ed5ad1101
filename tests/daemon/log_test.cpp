#include "daemon/base/log.hpp"

#include <fmt/format.h>
#include <sys/stat.h>
#include <unistd.h>

#include <sstream>

#include "tests/catch.hpp"

using namespace nestcup::daemon;

TEST_CASE("a line for the journal has its level in front and stays one line") {
  CHECK(journal_line(LogLevel::error, "the disk is full") == "<3>the disk is full");
  CHECK(journal_line(LogLevel::warning, "ERROR: gone\nDETAIL: why\n") ==
        "<4>ERROR: gone DETAIL: why");
  CHECK(journal_line(LogLevel::info, "") == "<6>");
}

TEST_CASE("the journal is known by its device and inode alone") {
  int ends[2] = {};
  REQUIRE(pipe(ends) == 0);
  struct stat facts {};
  REQUIRE(fstat(ends[1], &facts) == 0);
  const std::string named = fmt::format("{}:{}", facts.st_dev, facts.st_ino);
  const std::string another = fmt::format("{}:{}", facts.st_dev, facts.st_ino + 1);
  CHECK(leads_to_journal(ends[1], named.c_str()));
  CHECK_FALSE(leads_to_journal(ends[1], another.c_str()));
  CHECK_FALSE(leads_to_journal(ends[1], ""));
  CHECK_FALSE(leads_to_journal(ends[1], nullptr));
  close(ends[0]);
  close(ends[1]);
  CHECK_FALSE(leads_to_journal(ends[1], named.c_str()));
}

TEST_CASE("elsewhere each line stands behind the program's name, whatever its level") {
  std::ostringstream out;
  const Log log = log_to(out, "nestcupd", false);
  log("ready");
  log.error("the disk is full");
  log.at(LogLevel::warning)("no connection taken");
  CHECK(out.str() ==
        "nestcupd: ready\nnestcupd: the disk is full\nnestcupd: no connection taken\n");
}

TEST_CASE("in the journal each line has the level that it was given") {
  std::ostringstream out;
  const Log log = log_to(out, "nestcupd", true);
  log("ready");
  log.error("the disk is full");
  log.at(LogLevel::warning)("no connection taken");
  CHECK(out.str() == "<6>ready\n<3>the disk is full\n<4>no connection taken\n");
  Log()("nobody hears this");
}
