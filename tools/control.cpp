// nestcup mark, finish, strike and restore: what a person tells the bench.
#include <fmt/format.h>

#include "core/record/revise.hpp"
#include "tools/cli/output.hpp"
#include "tools/cli/parsed.hpp"
#include "tools/client/client.hpp"
#include "tools/commands.hpp"
#include "tools/place.hpp"
#include "tools/store_change.hpp"

namespace nestcup {
namespace {

int mark(const cli::Parsed& parsed, cli::Streams& streams) {
  const auto bench = chosen_bench(parsed);
  if (!bench) return cli::report_error(streams, bench.error());
  const auto ago = parsed.number("seconds-ago");
  if (!ago) return cli::report_error(streams, ago.error());
  const auto answer =
      call(bench->control, "POST", "/v1/mark", nlohmann::json{{"seconds_ago", ago->value_or(0.0)}});
  if (!answer) return cli::report_error(streams, answer.error());
  streams.out << "marked: the pour begins\n";
  return 0;
}

int finish(const cli::Parsed& parsed, cli::Streams& streams) {
  const auto bench = chosen_bench(parsed);
  if (!bench) return cli::report_error(streams, bench.error());
  const auto answer = call(bench->control, "POST", "/v1/finish", nlohmann::json::object());
  if (!answer) return cli::report_error(streams, answer.error());
  streams.out << "finished: the run ends with what is there\n";
  return 0;
}

/// Without a daemon the command writes itself, under the store's lock.
Result<int> change_in_store(const std::string& path, const std::string& which,
                            const std::string& status, const std::string& action,
                            const std::string& reason) {
  int number = 0;
  const auto done = change_store(path, [&](Store& store) -> Result<void> {
    const auto run = change_status(store, which, status, note_now(action, reason));
    if (!run) return run.error();
    number = run->number;
    return {};
  });
  if (!done) return done.error();
  return number;
}

Result<int> change_by_daemon(const BenchFile& bench, const std::string& which,
                             const std::string& verb, const std::string& reason) {
  const auto answer = call(bench.control, "POST", "/v1/runs/" + percent_encoded(which) + "/" + verb,
                           nlohmann::json{{"reason", reason}});
  if (!answer) return answer.error();
  return answer->at("number").get<int>();
}

/// Through the daemon where one runs, else in the store.
Result<int> change(const cli::Parsed& parsed, const std::string& verb, const std::string& status,
                   const std::string& action) {
  const std::string which = *parsed.text("RUN"), reason = *parsed.text("reason");
  if (reason.empty()) return Error{Fault::usage, "option --reason: say why"};
  const auto path = chosen_store_path(parsed);
  if (!path) return path.error();
  if (!parsed.text("store")) {
    const auto bench = chosen_bench(parsed);
    if (!bench) return bench.error();
    auto answer = change_by_daemon(*bench, which, verb, reason);
    if (answer || answer.error().kind != Fault::unavailable) return answer;
  }
  return change_in_store(*path, which, status, action, reason);
}

cli::CommandSpec change_command(const std::string& verb, const std::string& status,
                                const std::string& action, const std::string& done) {
  cli::CommandSpec command;
  command.name = verb;
  command.options = store_options();
  command.options.push_back({.name = "reason",
                             .value_name = "TEXT",
                             .help = "why; it stays in the run's history",
                             .required = true});
  command.arguments = {{"RUN", "its number, its id, or the end of its id"}};
  command.exit_notes = {{66, "no such run or store"},
                        {75, "another process writes the store; ask it through --bench"}};
  command.run = [=](const cli::Parsed& parsed, cli::Streams& streams) {
    const auto number = change(parsed, verb, status, action);
    if (!number) return cli::report_error(streams, number.error());
    streams.out << fmt::format("run {} {}\n", *number, done);
    return 0;
  };
  return command;
}

}  // namespace

cli::CommandSpec mark_command() {
  cli::CommandSpec command;
  command.name = "mark";
  command.summary = "tell the daemon that the pour begins now";
  command.description = {
      "Marks the start of the pour. The mark is used for the mixing time where it "
      "agrees with the trace; where it does not, the record says so."};
  command.options = {bench_option(),
                     {.name = "seconds-ago",
                      .value_name = "S",
                      .help = "the pour began so many seconds ago",
                      .default_text = "0"}};
  command.examples = {{"nestcup mark", "now"},
                      {"nestcup mark --seconds-ago 5", "five seconds ago"}};
  command.exit_notes = {{69, "no daemon answers"}};
  command.run = mark;
  return command;
}

cli::CommandSpec finish_command() {
  cli::CommandSpec command;
  command.name = "finish";
  command.summary = "finish the run under way with what is there";
  command.description = {
      "Ends the run now instead of at the end of its after period. The shorter the "
      "after period, the larger the uncertainty."};
  command.options = {bench_option()};
  command.examples = {{"nestcup finish", "end the run now"}};
  command.exit_notes = {{69, "no daemon answers, or no run is under way"}};
  command.run = finish;
  return command;
}

cli::CommandSpec strike_command() {
  cli::CommandSpec command = change_command("strike", "struck", "struck", "is struck out");
  command.summary = "strike out a run, with a reason";
  command.description = {
      "Marks a run as not to be used. Nothing is deleted: restore takes it back, "
      "and both stay in the run's history."};
  command.examples = {{"nestcup strike 3 --reason lid-off", "run 3 does not count"}};
  return command;
}

cli::CommandSpec restore_command() {
  cli::CommandSpec command = change_command("restore", "finished", "restored", "counts again");
  command.summary = "restore a struck run, with a reason";
  command.description = {"Takes a run back that was struck out."};
  command.examples = {{"nestcup restore 3 --reason mistaken", "run 3 counts again"}};
  return command;
}

}  // namespace nestcup
