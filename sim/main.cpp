// nestcup-sim: a simulated bench, as a board on a pseudo-terminal or as a trace file.
#include <fmt/format.h>
#include <sys/signalfd.h>
#include <unistd.h>

#include <boost/program_options.hpp>
#include <charconv>
#include <csignal>
#include <cstdio>
#include <iostream>

#include "core/base/exit_code.hpp"
#include "core/base/version.hpp"
#include "sim/board.hpp"
#include "sim/fast_clock.hpp"
#include "sim/fault_kinds.hpp"
#include "sim/player.hpp"
#include "sim/simulate.hpp"
#include "sim/truth.hpp"

namespace nestcup::sim {

namespace {

namespace po = boost::program_options;

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

po::options_description describe_options() {
  po::options_description options("Options", 100);
  auto add = options.add_options();
  add("scenario", po::value<std::string>()->value_name("FILE"), "what happens on the bench (TOML)");
  add("capture", po::value<std::string>()->value_name("FILE"),
      "traffic of a port, to be played on --link in place of a scenario");
  add("link", po::value<std::string>()->value_name("PATH"),
      "offer the board's port at this path until the scenario or the capture ends");
  add("trace", po::value<std::string>()->value_name("FILE"),
      "write what the probes read as a trace (CSV), at once; - is standard output");
  add("truth", po::value<std::string>()->value_name("FILE"), "write what really happened (JSON)");
  add("speed", po::value<double>()->value_name("N"), "run N times faster than real time");
  add("seed", po::value<std::string>()->value_name("N"),
      "seed of the noise instead of the scenario's");
  add("wait-open", "start the scenario or the capture when the port is first opened");
  add("keep-open", "go on after the end until stopped");
  add("help", "show this help");
  add("version", "show the version");
  return options;
}

std::string help_text(const po::options_description& options) {
  std::ostringstream text;
  text << "Usage: nestcup-sim --scenario FILE (--link PATH | --trace FILE) [options]\n"
          "       nestcup-sim --capture FILE --link PATH [options]\n"
          "A simulated calorimetry bench: a board with temperature probes on a serial port. It "
          "speaks\n"
          "text lines, SenML, Modbus RTU or SCPI ([board] protocol in the scenario). Or a port as "
          "it was\n"
          "captured, which answers the questions of the capture.\n"
       << options
       << "Faults of the line ([[fault]] kind in the scenario, with at_s, for_s, delay_s, count, "
          "code,\n"
          "baud_ratio, rate_Bd):\n"
       << fault_table();
  return text.str();
}

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

Result<Request> read_request(const po::variables_map& given) {
  Request request;
  const auto text = [&given](const char* name) {
    return given.count(name) != 0 ? given[name].as<std::string>() : std::string();
  };
  request.scenario = text("scenario");
  request.capture = text("capture");
  request.link = text("link");
  request.trace = text("trace");
  request.truth = text("truth");
  request.wait_open = given.count("wait-open") != 0;
  request.keep_open = given.count("keep-open") != 0;
  if (given.count("speed") != 0) request.speed = given["speed"].as<double>();
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

Result<void> write_trace(const Request& request, const Scenario& scenario, std::uint64_t seed) {
  const SimulatedRun run = simulate(scenario, seed);
  if (!request.truth.empty()) {
    const std::string text = truth_json({scenario.name, seed}, run.truth);
    if (auto written = write_whole(request.truth, text); !written) return written;
  }
  const std::string trace = trace_csv(run);
  if (request.trace != "-") return write_whole(request.trace, trace);
  std::cout << trace << std::flush;
  if (!std::cout) return Error{Fault::io, "standard output: cannot be written"};
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

Result<void> run(const Request& request) {
  if (!request.capture.empty()) return run_player(request);
  const Result<Scenario> scenario = read_scenario(request.scenario);
  if (!scenario) return scenario.error();
  const std::uint64_t seed = request.seed.value_or(scenario->seed);
  fmt::print(stderr, "nestcup-sim: {}: seed {}\n", scenario->name, seed);
  return request.link.empty() ? write_trace(request, *scenario, seed)
                              : run_board(request, *scenario, seed);
}

int fail(const Error& error) {
  fmt::print(stderr, "nestcup-sim: {}\n", error.text);
  return exit_code(error.kind);
}

}  // namespace

/// The program: its exit code.
int run_program(int argc, char** argv) {
  const po::options_description options = describe_options();
  po::variables_map given;
  try {
    po::store(po::command_line_parser(argc, argv).options(options).run(), given);
  } catch (const po::error& fault) {
    return fail({Fault::usage, fmt::format("{}; see --help", fault.what())});
  }
  if (given.count("help") != 0) {
    std::cout << help_text(options);
    return exit_done;
  }
  if (given.count("version") != 0) {
    fmt::print("nestcup-sim {}\n", version_text);
    return exit_done;
  }
  const Result<Request> request = read_request(given);
  if (!request) return fail(request.error());
  const Result<void> done = run(*request);
  return done ? exit_done : fail(done.error());
}

}  // namespace nestcup::sim

int main(int argc, char** argv) {
  return nestcup::sim::run_program(argc, argv);
}
