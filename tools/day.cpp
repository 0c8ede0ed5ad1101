// nestcup next and amount: what a person says of the day's sheet while the bench runs.
#include <fmt/format.h>

#include "core/base/numbers.hpp"
#include "core/record/assign.hpp"
#include "tools/cli/output.hpp"
#include "tools/cli/parsed.hpp"
#include "tools/client/client.hpp"
#include "tools/commands.hpp"
#include "tools/place.hpp"

namespace nestcup {
namespace {

using Answer = nlohmann::json;

std::string next_words(const Answer& next) {
  if (next.is_null()) return "all trials are done; the next run is for none\n";
  return fmt::format("the next run is for trial {}, repeat {}{}\n",
                     next.at("name").get<std::string>(), next.at("number").get<int>(),
                     next.at("chosen").get<bool>() ? "" : ", by the sheet's order");
}

int run_next(const cli::Parsed& parsed, cli::Streams& streams) {
  const auto bench = chosen_bench(parsed);
  if (!bench) return cli::report_error(streams, bench.error());
  const auto answer =
      call(bench->control, "POST", "/v1/trial", Answer{{"trial", *parsed.text("TRIAL")}});
  if (!answer) return cli::report_error(streams, answer.error());
  streams.out << next_words(answer->at("next_trial"));
  return 0;
}

/// A number, or null for none: the key is taken out.
Result<Answer> amount_value(const std::string& text) {
  if (text == no_trial) return Answer(nullptr);
  const auto value = parse_number(text);
  if (value) return Answer(*value);
  return Error{Fault::usage,
               fmt::format("argument VALUE: \"{}\" is neither a number nor none", text)};
}

std::string amount_words(const Answer& answer) {
  const auto word = [](const Answer& value) {
    return value.is_null() ? std::string("not stated") : value.dump();
  };
  const std::string what =
      fmt::format("{} {}.{}", answer.at("trial").get<std::string>(),
                  answer.at("part").get<std::string>(), answer.at("key").get<std::string>());
  if (!answer.at("changed").get<bool>()) {
    return fmt::format("{}: is {} already\n", what, word(answer.at("value")));
  }
  return fmt::format("{}: {}, was {}\n", what, word(answer.at("value")), word(answer.at("before")));
}

int run_amount(const cli::Parsed& parsed, cli::Streams& streams) {
  const auto bench = chosen_bench(parsed);
  if (!bench) return cli::report_error(streams, bench.error());
  auto value = amount_value(*parsed.text("VALUE"));
  if (!value) return cli::report_error(streams, value.error());
  const auto answer = call(bench->control, "POST", "/v1/amounts",
                           Answer{{"trial", *parsed.text("TRIAL")},
                                  {"part", *parsed.text("PART")},
                                  {"key", *parsed.text("KEY")},
                                  {"value", std::move(value).value()},
                                  {"reason", parsed.text("reason").value_or("")}});
  if (!answer) return cli::report_error(streams, answer.error());
  if (parsed.flag("json")) {
    streams.out << answer->dump() << '\n';
  } else {
    streams.out << amount_words(*answer);
  }
  return 0;
}

}  // namespace

cli::CommandSpec next_command() {
  cli::CommandSpec command;
  command.name = "next";
  command.summary = "say which trial the next run is for";
  command.description = {
      "The daemon gives each finished run to the next open trial of its sheet, in the sheet's "
      "order. Where another one is done next, this says so beforehand, also during the run: the "
      "next run that is finished is given to TRIAL, as one more repeat where it is done already. "
      "From then on the sheet's order holds again; \"none\" gives it back before."};
  command.options = {bench_option()};
  command.arguments = {{"TRIAL", "the name of a trial of the sheet, or none"}};
  command.examples = {{"nestcup next metal", "the metal is done next"},
                      {"nestcup next none", "the sheet's order holds"}};
  command.exit_notes = {{64, "no such trial, or the bench has no sheet"},
                        {69, "no daemon answers"}};
  command.run = run_next;
  return command;
}

cli::CommandSpec amount_command() {
  cli::CommandSpec command;
  command.name = "amount";
  command.summary = "set one amount of the day's sheet, as it was weighed or measured";
  command.description = {
      "Puts the number into the sheet's file, in which everything else stays as it is, comments "
      "included, and lets the daemon go by it from then on. The sheet as a whole must be in order "
      "with it. Who set what, when and why stays in the store, and so does the sheet as it was "
      "before; setting the old value again takes it back.",
      "PART is cup, added or heater; KEY is the key in the sheet, with its unit: volume_mL, "
      "mass_g, "
      "temperature_degC, u_mass_g, time_s and so on. The VALUE none takes the key out. Runs that "
      "are stored keep what was worked out for them; nestcup recompute brings them up to date."};
  command.options = {bench_option(),
                     {.name = "reason", .value_name = "TEXT", .help = "why; it stays in the store"},
                     json_option()};
  command.arguments = {
      {"TRIAL", "the name of a trial of the sheet"},
      {"PART", "cup, added or heater", 1, 1, {cli::Hint::words, {"cup", "added", "heater"}}},
      {"KEY", "which number, with its unit"},
      {"VALUE", "the number, or none"}};
  command.examples = {
      {"nestcup amount oxide added mass_g 0.731 --reason weighed", "as the balance showed it"},
      {"nestcup amount warm added temperature_degC none", "the probe knows better"}};
  command.exit_notes = {
      {64, "no such trial, part or key"},
      {65, "the sheet would be wrong with it; file, line and key are named"},
      {69, "no daemon answers"},
      {75, "somebody changed the file meanwhile: nestcup sheet reload, and again"}};
  command.run = run_amount;
  return command;
}

}  // namespace nestcup
