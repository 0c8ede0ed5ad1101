#include "tests/cli/sample/teapot.hpp"
#include "tools/cli/program.hpp"

int main(int argc, char** argv) {
  return nestcup::cli::program_main(nestcup::cli::teapot_program(), argc, argv);
}
