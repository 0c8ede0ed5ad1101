// nestcup: the command line.
#include "tools/cli/program.hpp"
#include "tools/commands.hpp"

int main(int argc, char** argv) {
  return nestcup::cli::program_main(nestcup::nestcup_program(), argc, argv);
}
