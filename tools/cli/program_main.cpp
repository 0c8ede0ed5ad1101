// The one place of the frame that touches the process: its streams, its signals, its environment.
#include <fmt/format.h>
#include <signal.h>
#include <unistd.h>

#include <cerrno>
#include <cstdlib>
#include <cstring>
#include <exception>
#include <iostream>

#include "core/base/exit_code.hpp"
#include "tools/cli/descriptor_output.hpp"
#include "tools/cli/output.hpp"
#include "tools/cli/program.hpp"

namespace nestcup::cli {

namespace {

constexpr int exit_internal = 70;  // EX_SOFTWARE of sysexits.h

int run_guarded(const ProgramSpec& program, std::span<const std::string> words, Streams& streams) {
  try {
    return run_program(program, words, streams);
  } catch (const std::exception& fault) {
    streams.err << program.name << ": internal error: " << fault.what() << '\n';
    return exit_internal;
  }
}

}  // namespace

int program_main(const ProgramSpec& program, int argc, const char* const* argv) {
  // A write to a closed pipe must come back as EPIPE instead of ending the process.
  ::signal(SIGPIPE, SIG_IGN);
  const std::vector<std::string> words(argv + (argc > 0 ? 1 : 0), argv + argc);
  DescriptorOutput output(STDOUT_FILENO);
  std::ostream out(&output);
  const bool colour =
      takes_colour(::isatty(STDOUT_FILENO) == 1, std::getenv("NO_COLOR"), std::getenv("TERM"));
  Streams streams{program.name, std::cin, out, std::cerr, colour};
  const int code = run_guarded(program, words, streams);
  out.flush();
  if (output.fault() == 0 || output.fault() == EPIPE || code != exit_done) return code;
  return report_error(streams, {Fault::io, fmt::format("standard output: writing failed: {}",
                                                       std::strerror(output.fault()))});
}

}  // namespace nestcup::cli
