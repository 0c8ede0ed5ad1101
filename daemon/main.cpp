// nestcupd: the daemon of one bench.
#include <fmt/format.h>
#include <unistd.h>

#include <cstdlib>
#include <iostream>

#include "core/base/exit_code.hpp"
#include "core/base/version.hpp"
#include "daemon/service.hpp"
#include "drivers/port_decoder.hpp"
#include "tools/cli/command.hpp"
#include "tools/cli/parsed.hpp"
#include "tools/cli/program.hpp"

namespace nestcup::daemon {
namespace {

/// What only shows when drivers and transducers are made of the settings; no port is opened.
std::vector<Error> wrong_with_drivers(const BenchFile& bench) {
  std::vector<Error> problems;
  for (const PortSettings& port : bench.ports) {
    std::vector<ProbeSettings> probes;
    for (const ProbeSettings& probe : bench.probes) {
      if (probe.port == port.name) probes.push_back(probe);
    }
    const auto made = drivers::PortDecoder::make(port, probes, [](auto&&...) {});
    if (made) continue;
    problems.push_back({made.error().kind, fmt::format("{}: {}", bench.path, made.error().text)});
  }
  return problems;
}

/// Bench file and sheet, read and checked; every problem is printed.
std::optional<ServiceOptions> checked_options(const std::string& path, const Log& log, int& code) {
  BenchFileCheck check = read_bench_file(path);
  if (check.bench) check.problems = wrong_with_drivers(*check.bench);
  ServiceOptions options;
  if (check.bench && !check.bench->sheet.empty()) {
    SheetCheck sheet = check_sheet(check.bench->sheet);
    options.sheet = std::move(sheet.sheet);
    check.problems.insert(check.problems.end(), sheet.problems.begin(), sheet.problems.end());
  }
  for (const Error& problem : check.problems) log.error(problem.text);
  if (!check.problems.empty() || !check.bench) {
    code = check.problems.empty() ? exit_code(Fault::bad_configuration)
                                  : exit_code(check.problems.front().kind);
    return std::nullopt;
  }
  options.bench = std::move(*check.bench);
  return options;
}

int failed(const Log& log, const Error& error) {
  log.error(error.text);
  return exit_code(error.kind);
}

int run(const cli::Parsed& parsed, cli::Streams& streams) {
  const Log log = log_to(streams.err, streams.program,
                         leads_to_journal(STDERR_FILENO, std::getenv("JOURNAL_STREAM")));
  const auto check = parsed.text("check"), bench = parsed.text("bench");
  if (check.has_value() == bench.has_value()) {
    return failed(log, {Fault::usage, "either --bench FILE or --check FILE is needed"});
  }
  int code = 0;
  auto options = checked_options(check ? *check : *bench, log, code);
  if (!options) return code;
  if (check) {
    streams.out << fmt::format("{}: all is well: {} ports, {} probes\n", *check,
                               options->bench.ports.size(), options->bench.probes.size());
    return exit_done;
  }
  const auto speed = parsed.number("speed");
  if (!speed) return failed(log, speed.error());
  options->speed = speed->value_or(1.0);
  if (options->speed < 0.01 || options->speed > 1000.0) {
    return failed(log, {Fault::usage, "option --speed: 0.01 to 1000 is possible"});
  }
  options->log = log;
  const auto done = run_service(std::move(*options));
  return done ? exit_done : failed(log, done.error());
}

cli::ProgramSpec program() {
  cli::CommandSpec command;
  command.name = "nestcupd";
  command.summary = "reads the probes of one bench and leaves finished run records";
  command.description = {
      "Reads the probes that the bench file names, stamps and stores every reading, notices each "
      "mixing by itself and leaves a run record with the corrected temperature rise in the store. "
      "Runs in the foreground and logs to standard error, one line an event. SIGTERM and SIGINT "
      "end it with everything committed; started again after a crash it takes up the run that was "
      "under way."};
  command.options = {
      {.name = "bench",
       .value_name = "FILE",
       .help = "the bench to run",
       .complete = {cli::Hint::file}},
      {.name = "check",
       .value_name = "FILE",
       .help = "only check a bench file, say everything that is wrong, and touch no device",
       .complete = {cli::Hint::file}},
      {.name = "speed",
       .value_name = "N",
       .help = "run the bench's clock N times as fast (demos and tests only)",
       .default_text = "1"}};
  command.examples = {{"nestcupd --check bench.toml", "is the bench file right?"},
                      {"nestcupd --bench bench.toml", "run the bench"}};
  command.exit_notes = {{66, "no such bench file or sheet"},
                        {69, "the control socket cannot be offered"},
                        {74, "readings could not be written"},
                        {75, "another process writes the store"},
                        {78, "the bench file is wrong"}};
  command.run = run;
  cli::ProgramSpec spec;
  spec.name = "nestcupd";
  spec.version = version_text;
  spec.summary = command.summary;
  spec.single = command;
  return spec;
}

}  // namespace
}  // namespace nestcup::daemon

int main(int argc, char** argv) {
  return nestcup::cli::program_main(nestcup::daemon::program(), argc, argv);
}
