// nestcup-sim: a simulated bench, as a board on a pseudo-terminal or as a trace file.
#include <fmt/format.h>
#include <sys/signalfd.h>
#include <unistd.h>

#include <charconv>
#include <csignal>

#include "core/base/exit_code.hpp"
#include "core/base/version.hpp"
#include "sim/board.hpp"
#include "sim/fast_clock.hpp"
#include "sim/fault_kinds.hpp"
#include "sim/player.hpp"
#include "sim/simulate.hpp"
#include "sim/truth.hpp"
#include "tools/cli/command.hpp"
#include "tools/cli/output.hpp"
#include "tools/cli/parsed.hpp"
#include "tools/cli/program.hpp"

namespace nestcup::sim {

namespace {

/// The command line as asked for.
struct Request {
  std::string scenario;
  std::string capture;
  std::string link;
  std::string trace;
  std::string truth;
  double speed = 1.0;
  std::optional<std::uint64_t> seed;
  bool wait_open = false;
  bool keep_open = false;
};

/// What goes with a capture, which has no bench behind it.
Result<Request> check_capture(const Request& request) {
  if (!request.scenario.empty() || !request.trace.empty() || !request.truth.empty() ||
      request.seed) {
    return Error{Fault::usage,
                 "--capture goes without --scenario, --trace, --truth and --seed; see --help"};
  }
  if (request.link.empty()) return Error{Fault::usage, "--link PATH is needed; see --help"};
  return request;
}

Result<Request> read_request(const cli::Parsed& parsed) {
  Request request;
  const auto text = [&parsed](const char* name) { return parsed.text(name).value_or(""); };
  request.scenario = text("scenario");
  request.capture = text("capture");
  request.link = text("link");
  request.trace = text("trace");
  request.truth = text("truth");
  request.wait_open = parsed.flag("wait-open");
  request.keep_open = parsed.flag("keep-open");
  const auto speed = parsed.number("speed");
  if (!speed) return speed.error();
  request.speed = speed->value_or(1.0);
  if (!(request.speed >= 0.01 && request.speed <= 1e5)) {
    return Error{Fault::usage, "--speed: expected a number from 0.01 to 100000"};
  }
  if (const std::string seed = text("seed"); !seed.empty()) {
    std::uint64_t value = 0;
    const auto [stop, fault] = std::from_chars(seed.data(), seed.data() + seed.size(), value);
    if (fault != std::errc{} || stop != seed.data() + seed.size()) {
      return Error{Fault::usage, "--seed: expected a whole number, 0 or more"};
    }
    request.seed = value;
  }
  if (!request.capture.empty()) return check_capture(request);
  if (request.scenario.empty()) return Error{Fault::usage, "--scenario FILE is needed; see --help"};
  if (request.link.empty() == request.trace.empty()) {
    return Error{Fault::usage, "either --link PATH or --trace FILE is needed; see --help"};
  }
  return request;
}

Result<void> write_trace(const Request& request, const Scenario& scenario, std::uint64_t seed,
                         std::ostream& out) {
  const SimulatedRun run = simulate(scenario, seed);
  if (!request.truth.empty()) {
    const std::string text = truth_json({scenario.name, seed}, run.truth);
    if (auto written = write_whole(request.truth, text); !written) return written;
  }
  const std::string trace = trace_csv(run);
  if (request.trace != "-") return write_whole(request.trace, trace);
  out << trace;
  return {};
}

/// A descriptor that becomes readable at SIGTERM or SIGINT.
int stop_descriptor() {
  sigset_t ends;
  sigemptyset(&ends);
  sigaddset(&ends, SIGTERM);
  sigaddset(&ends, SIGINT);
  sigprocmask(SIG_BLOCK, &ends, nullptr);
  return ::signalfd(-1, &ends, SFD_CLOEXEC | SFD_NONBLOCK);
}

Result<void> run_board(const Request& request, const Scenario& scenario, std::uint64_t seed) {
  const int stop_fd = stop_descriptor();
  if (stop_fd < 0) return Error{Fault::io, "signals cannot be watched"};
  BoardOptions options{request.link, seed, request.wait_open, request.keep_open, {}};
  // Worked out beforehand: when scenario time starts there is no time to lose.
  const std::vector<TrialTruth> truth = simulate(scenario, seed).truth;
  options.on_start = [&](TimeUs wall_us) -> Result<void> {
    if (request.truth.empty()) return {};
    const TruthHead head{scenario.name, seed, wall_us, request.speed};
    return write_whole(request.truth, truth_json(head, truth));
  };
  const FastClock clock(request.speed);
  Board board(scenario, options, clock);
  const Result<void> done = board.run(stop_fd);
  ::close(stop_fd);
  return done;
}

Result<void> run_player(const Request& request) {
  Result<Capture> capture = read_capture(request.capture);
  if (!capture) return capture.error();
  const int stop_fd = stop_descriptor();
  if (stop_fd < 0) return Error{Fault::io, "signals cannot be watched"};
  const FastClock clock(request.speed);
  Player player(std::move(capture).value(), {request.link, request.wait_open, request.keep_open},
                clock);
  const Result<void> done = player.run(stop_fd);
  ::close(stop_fd);
  return done;
}

Result<void> simulate_as_asked(const Request& request, cli::Streams& streams) {
  if (!request.capture.empty()) return run_player(request);
  const Result<Scenario> scenario = read_scenario(request.scenario);
  if (!scenario) return scenario.error();
  const std::uint64_t seed = request.seed.value_or(scenario->seed);
  streams.err << fmt::format("nestcup-sim: {}: seed {}\n", scenario->name, seed) << std::flush;
  return request.link.empty() ? write_trace(request, *scenario, seed, streams.out)
                              : run_board(request, *scenario, seed);
}

int run(const cli::Parsed& parsed, cli::Streams& streams) {
  const Result<Request> request = read_request(parsed);
  if (!request) return cli::report_error(streams, request.error());
  const Result<void> done = simulate_as_asked(*request, streams);
  return done ? exit_done : cli::report_error(streams, done.error());
}

std::vector<cli::OptionSpec> options() {
  return {
      {.name = "scenario",
       .value_name = "FILE",
       .help = "what happens on the bench (TOML)",
       .complete = {cli::Hint::file}},
      {.name = "capture",
       .value_name = "FILE",
       .help = "traffic of a port, to be played on --link in place of a scenario",
       .complete = {cli::Hint::file}},
      {.name = "link",
       .value_name = "PATH",
       .help = "offer the board's port at this path until the scenario or the capture ends",
       .complete = {cli::Hint::file}},
      {.name = "trace",
       .value_name = "FILE",
       .help = "write what the probes read as a trace (CSV), at once; - is standard output",
       .complete = {cli::Hint::file}},
      {.name = "truth",
       .value_name = "FILE",
       .help = "write what really happened (JSON)",
       .complete = {cli::Hint::file}},
      {.name = "speed",
       .value_name = "N",
       .help = "run N times faster than real time",
       .default_text = "1"},
      {.name = "seed", .value_name = "N", .help = "seed of the noise instead of the scenario's"},
      {.name = "wait-open",
       .help = "start the scenario or the capture when the port is first opened"},
      {.name = "keep-open", .help = "go on after the end until stopped"}};
}

std::vector<std::string> description() {
  std::vector<std::string> paragraphs = {
      "A simulated calorimetry bench: a board with temperature probes on a serial port. It speaks "
      "text lines, SenML, Modbus RTU or SCPI ([board] protocol in the scenario). Or a port as it "
      "was captured, which answers the questions of the capture.",
      "Either --scenario with --link or --trace, or --capture with --link.",
      "Faults of the line ([[fault]] kind in the scenario, with at_s, for_s, delay_s, count, code, "
      "baud_ratio, rate_Bd):"};
  for (std::string& line : fault_lines()) paragraphs.push_back(std::move(line));
  return paragraphs;
}

cli::ProgramSpec program() {
  cli::CommandSpec command;
  command.name = "nestcup-sim";
  command.summary = "simulates a calorimetry bench on a serial port or as a trace";
  command.description = description();
  command.options = options();
  command.examples = {{"nestcup-sim --scenario one-trial.toml --trace trial.csv --truth truth.json",
                       "a trial as a trace, and what was true of it"},
                      {"nestcup-sim --scenario one-trial.toml --link board --wait-open",
                       "the same as a board, from when somebody opens it"}};
  command.exit_notes = {{65, "the capture cannot be read"},
                        {66, "no such scenario or capture"},
                        {73, "the port or a file cannot be made there"},
                        {74, "reading or writing failed"},
                        {78, "the scenario is wrong"}};
  command.run = run;
  cli::ProgramSpec spec;
  spec.name = command.name;
  spec.version = version_text;
  spec.summary = command.summary;
  spec.single = command;
  return spec;
}

}  // namespace
}  // namespace nestcup::sim

int main(int argc, char** argv) {
  return nestcup::cli::program_main(nestcup::sim::program(), argc, argv);
}
