// The frame in a real process: pipes, full devices, streams.
#include <cstdlib>

#include "tests/catch.hpp"
#include "tests/cli/call.hpp"

using namespace nestcup::cli;

namespace {

const std::string teapot = std::string("'") + TEAPOT_PROGRAM + "'";

}  // namespace

TEST_CASE("a reader that goes away early is no failure") {
  const Outcome outcome = shell(teapot + " pour | head -n 1; echo ${PIPESTATUS[0]}");
  CHECK(outcome.out == "a drop\n0\n");
}

TEST_CASE("a full device is a failure that is said") {
  const Outcome outcome = shell(teapot + " pour > /dev/full");
  CHECK(outcome.code == 74);
  CHECK(outcome.out == "teapot: standard output: writing failed: No space left on device\n");
}

TEST_CASE("all of a long output arrives") {
  CHECK(shell(teapot + " pour | wc -l").out == "200000\n");
}

TEST_CASE("results and messages go their own ways") {
  CHECK(shell(teapot + " brew mug 2>/dev/null | grep -c cup").out == "1\n");
  CHECK(shell(teapot + " nonsense 2>/dev/null; echo $?").out == "64\n");
  CHECK(shell(teapot + "; echo $?").out.find("\n64\n") != std::string::npos);
}
