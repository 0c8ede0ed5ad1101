// nestcup demo: the whole job on a simulated bench.
#include <fmt/format.h>
#include <fmt/ranges.h>

#include <chrono>
#include <filesystem>
#include <thread>

#include "core/base/nearest.hpp"
#include "tools/cli/output.hpp"
#include "tools/cli/parsed.hpp"
#include "tools/client/client.hpp"
#include "tools/commands.hpp"
#include "tools/demo/child.hpp"
#include "tools/demo/files.hpp"
#include "tools/demo/keep.hpp"
#include "tools/demo/outcome.hpp"
#include "tools/demo/worked.hpp"
#include "tools/sync/carry_here.hpp"

namespace nestcup {
namespace {

namespace fs = std::filesystem;
using Steady = std::chrono::steady_clock;

constexpr const char* usual_speed = "25";
constexpr auto day_patience = std::chrono::hours(1);
constexpr std::size_t longest_socket_path = 100;
constexpr const char* mixed_up =
    "A run is missing or one too many, so that later ones went to other trials than their own\n"
    "(nestcup assign mends that): what follows is wrong.\n";

/// Where the demo's files lie.
struct Places {
  fs::path folder;
  fs::path device;
  fs::path control;
  std::optional<fs::path> short_folder;  ///< for the socket, where the folder's path is too long

  ~Places() {
    std::error_code ignored;
    if (short_folder) fs::remove_all(*short_folder, ignored);
  }
  Places() = default;
  Places(const Places&) = delete;
  Places& operator=(const Places&) = delete;
};

Result<void> make_places(const std::optional<std::string>& wanted, Places& places) {
  std::error_code code;
  const auto now = std::chrono::floor<std::chrono::seconds>(std::chrono::system_clock::now());
  const auto stamp = now.time_since_epoch().count();
  fs::path folder = wanted ? fs::path(*wanted) : fs::path(fmt::format("nestcup-demo-{}", stamp));
  if (fs::exists(folder, code) && !(fs::is_directory(folder, code) && fs::is_empty(folder, code))) {
    return Error{Fault::cannot_create,
                 folder.string() + ": is there already and not an empty folder; name a new one"};
  }
  fs::create_directories(folder, code);
  if (code) {
    return Error{Fault::cannot_create, folder.string() + ": cannot be made: " + code.message()};
  }
  places.folder = fs::canonical(folder, code);
  places.device = places.folder / "board";
  places.control = places.folder / "demo.sock";
  if (places.control.string().size() > longest_socket_path) {
    std::string name = (fs::temp_directory_path() / "nestcup-demo-XXXXXX").string();
    if (!mkdtemp(name.data())) return Error{Fault::cannot_create, name + ": cannot be made"};
    places.short_folder = name;
    places.control = *places.short_folder / "demo.sock";
  }
  return {};
}

/// The day that --day names.
Result<const demo::DayFiles*> chosen_day(const cli::Parsed& parsed) {
  const std::string name = *parsed.text("day");
  std::vector<std::string> names;
  for (const demo::DayFiles& day : demo::days()) {
    if (day.name == name) return &day;
    names.push_back(day.name);
  }
  const auto near = nearest(name, names);
  return Error{Fault::usage,
               fmt::format("option --day: no day \"{}\"{}; there are {}", name,
                           near ? ", is \"" + *near + "\" meant?" : "", fmt::join(names, ", "))};
}

Result<void> write_inputs(const Places& places, const demo::DayFiles& day) {
  const std::vector<std::pair<const char*, std::string>> files = {
      {"scenario.toml", day.scenario},
      {"sheet.toml", day.sheet},
      {"bench.toml", demo::bench_text(places.device.string(), places.control.string())}};
  for (const auto& [name, text] : files) {
    if (auto written = demo::write_new(places.folder / name, text); !written) return written;
  }
  return {};
}

/// The simulated board and the real daemon.
struct Programs {
  demo::Child board;
  demo::Child daemon;
};

Result<Programs> start_programs(const Places& places, const std::string& speed) {
  const fs::path& folder = places.folder;
  auto board = demo::Child::start(
      "nestcup-sim",
      {"--scenario", (folder / "scenario.toml").string(), "--link", places.device.string(),
       "--speed", speed, "--truth", (folder / "simulation.json").string(), "--wait-open"},
      (folder / "board.log").string());
  if (!board) return board.error();
  auto daemon = demo::Child::start("nestcupd",
                                   {"--bench", (folder / "bench.toml").string(), "--speed", speed},
                                   (folder / "nestcupd.log").string());
  if (!daemon) return daemon.error();
  return Programs{std::move(board).value(), std::move(daemon).value()};
}

/// Tells each finished run as it comes.
void tell_progress(const Places& places, cli::Streams& streams, int& told) {
  const auto runs =
      call(places.control.string(), "GET", "/v1/runs", std::nullopt, std::chrono::seconds(2));
  if (!runs) return;
  for (const auto& run : runs->at("runs")) {
    const int number = run.at("number");
    if (number <= told) continue;
    told = number;
    const auto& record = run.at("record");
    const auto& trial = record.at("trial");
    const auto& rise = record.at("corrected_rise_K").at("value");
    streams.err << fmt::format("  run {} finished, {}: {}\n", number,
                               trial.is_null() ? std::string("of no trial")
                                               : fmt::format("{} {}", std::string(trial.at("name")),
                                                             int(trial.at("number"))),
                               rise.is_null() ? std::string("unusable")
                                              : fmt::format("{:+.3f} K", rise.get<double>()))
                << std::flush;
  }
}

/// Follows the day until the board falls silent for good.
Result<void> watch_day(const Places& places, Programs& programs, cli::Streams& streams) {
  const auto until = Steady::now() + day_patience;
  int told = 0;
  while (!programs.board.ended()) {
    if (const auto code = programs.daemon.ended()) {
      return Error{Fault::unavailable, fmt::format("nestcupd ended with {}: see {}", *code,
                                                   (places.folder / "nestcupd.log").string())};
    }
    if (Steady::now() > until) return Error{Fault::try_later, "the simulated day does not end"};
    std::this_thread::sleep_for(std::chrono::milliseconds(250));
    tell_progress(places, streams, told);
  }
  if (const int code = *programs.board.ended(); code != 0) {
    return Error{Fault::unavailable, fmt::format("nestcup-sim ended with {}: see {}", code,
                                                 (places.folder / "board.log").string())};
  }
  std::this_thread::sleep_for(
      std::chrono::milliseconds(300));  // the last lines of the board are still on their way
  tell_progress(places, streams, told);
  if (const int code = programs.daemon.stop(std::chrono::seconds(5)); code != 0) {
    return Error{Fault::io, fmt::format("nestcupd ended with {}: see {}", code,
                                        (places.folder / "nestcupd.log").string())};
  }
  return {};
}

Result<void> carry_rest(const Places& places, cli::Streams& streams) {
  const BenchFileCheck check = read_bench_file((places.folder / "bench.toml").string());
  if (!check.bench) return check.problems.front();
  return carry_here({check.bench->store, check.bench}, streams);
}

/// What came of the day.
struct Outturn {
  demo::Day day;
  demo::Worked worked;
};

Result<Outturn> work_up(const Places& places) {
  const auto truth = demo::read_truth((places.folder / "simulation.json").string());
  if (!truth) return truth.error();
  const auto store = Store::open((places.folder / "demo.db").string(), StoreMode::read);
  if (!store) return store.error();
  auto day = demo::match_runs(*store, *truth);
  if (!day) return day.error();
  auto worked = demo::work_day_out(places.folder, *store);
  if (!worked) return worked.error();
  if (auto kept = demo::keep_day(places.folder, *store, *day, *worked); !kept) return kept.error();
  return Outturn{std::move(day).value(), std::move(worked).value()};
}

/// Prints what came of the day.
/// @return the exit code
int tell_outturn(const Outturn& outturn, const Places& places, cli::Streams& streams) {
  const demo::Day& day = outturn.day;
  streams.out << demo::day_table(day, streams.colour) << demo::day_summary(day) << "\n\n"
              << (day.all_in_their_trials() ? "" : mixed_up) << demo::worked_summary(outturn.worked)
              << "\nStore, records, charts, results and report.html lie in "
              << places.folder.string() << '\n';
  if (day.all_right()) return 0;
  return cli::report_error(
      streams,
      {Fault::bad_data,
       fmt::format("not every run was found within 3 u of the simulation ({} runs belong to no "
                   "mixing). A busy machine reads the fast board late: try --speed 10",
                   day.false_runs)});
}

int run_demo(const cli::Parsed& parsed, cli::Streams& streams) {
  const auto day = chosen_day(parsed);
  if (!day) return cli::report_error(streams, day.error());
  const auto speed = parsed.number("speed");
  if (!speed) return cli::report_error(streams, speed.error());
  if (**speed < 1.0 || **speed > 200.0) {
    return cli::report_error(streams, {Fault::usage, "option --speed: 1 to 200 is possible"});
  }
  Places places;
  if (auto made = make_places(parsed.text("out"), places); !made) {
    return cli::report_error(streams, made.error());
  }
  if (auto written = write_inputs(places, **day); !written) {
    return cli::report_error(streams, written.error());
  }
  streams.err << fmt::format("A simulated day at the bench, {} times as fast:\n", **speed);
  {
    auto programs = start_programs(places, *parsed.text("speed"));
    if (!programs) return cli::report_error(streams, programs.error());
    if (auto watched = watch_day(places, *programs, streams); !watched) {
      return cli::report_error(streams, watched.error());
    }
  }
  // What the daemon had no time for any more.
  if (auto carried = carry_rest(places, streams); !carried) {
    return cli::report_error(streams, carried.error());
  }
  const auto outturn = work_up(places);
  if (!outturn) return cli::report_error(streams, outturn.error());
  return tell_outturn(*outturn, places, streams);
}

}  // namespace

cli::CommandSpec demo_command() {
  cli::CommandSpec command;
  command.name = "demo";
  command.summary = "run the whole job on a simulated bench";
  command.description = {
      "Starts a simulated board and the real daemon on a fast clock, lives through a day on the "
      "formation enthalpy of magnesium oxide, and prints each corrected rise beside the "
      "simulation's truth and beside what readings by hand would have given. The daemon gives the "
      "runs to the trials of the day's sheet; in the end the sheet is worked out: calorimeter "
      "constant, enthalpies, and how the cycle closes. Leaves store, records, charts, results and "
      "a page in a folder. Needs no hardware and takes about two minutes.",
      "Other days: sulfate is on the hydration of magnesium sulfate, metal-and-ice on the heat "
      "capacity of a metal and the heat that melts ice."};
  std::vector<std::string> names;
  for (const demo::DayFiles& day : demo::days()) names.push_back(day.name);
  command.options = {{.name = "day",
                      .value_name = "NAME",
                      .help = "which day: " + fmt::format("{}", fmt::join(names, ", ")),
                      .default_text = names.front(),
                      .complete = {cli::Hint::words, names}},
                     {.name = "out",
                      .value_name = "DIR",
                      .help = "a new or empty folder; without it one is made here and named",
                      .complete = {cli::Hint::directory}},
                     {.name = "speed",
                      .value_name = "N",
                      .help = "how many times as fast; the faster, the more a busy machine shows",
                      .default_text = usual_speed}};
  command.examples = {{"nestcup demo", "see what it does"},
                      {"nestcup demo --day metal-and-ice", "heat capacity and fusion by mixing"}};
  command.exit_notes = {{65, "a run was not found, or lies outside 3 u of the truth"},
                        {69, "a program of the demo cannot be started, or ended early"},
                        {73, "the folder is not new or cannot be made"}};
  command.run = run_demo;
  return command;
}

}  // namespace nestcup
