// nestcup doctor: is the bench in a state in which it can be left alone?
#include <fmt/format.h>

#include <algorithm>
#include <chrono>

#include "core/base/exit_code.hpp"
#include "tools/cli/output.hpp"
#include "tools/cli/parsed.hpp"
#include "tools/client/client.hpp"
#include "tools/commands.hpp"
#include "tools/doctor/checks.hpp"
#include "tools/place.hpp"

namespace nestcup {
namespace {

using doctor::Check;
using doctor::Verdict;

cli::Tone tone_of(Verdict verdict) {
  switch (verdict) {
    case Verdict::ok:
      return cli::Tone::good;
    case Verdict::note:
      return cli::Tone::warning;
    case Verdict::trouble:
      return cli::Tone::bad;
  }
  return cli::Tone::bad;
}

std::string check_text(const Check& check, bool colour) {
  const std::string word = fmt::format("{:<9}", doctor::verdict_word(check.verdict));
  std::string text = fmt::format("{}{}: {}\n", cli::toned(word, tone_of(check.verdict), colour),
                                 check.about, check.what);
  if (!check.remedy.empty()) text += fmt::format("{:9}-> {}\n", "", check.remedy);
  return text;
}

nlohmann::ordered_json check_json(const Check& check) {
  return {{"about", check.about},
          {"verdict", doctor::verdict_word(check.verdict)},
          {"what", check.what},
          {"remedy", check.remedy.empty() ? nlohmann::ordered_json(nullptr)
                                          : nlohmann::ordered_json(check.remedy)}};
}

int run_doctor(const cli::Parsed& parsed, cli::Streams& streams) {
  auto file = chosen_bench(parsed);
  if (!file) return cli::report_error(streams, file.error());
  doctor::Bench bench{std::move(*file)};
  bench.status = call(bench.file.control, "GET", "/v1/status");
  bench.now_us = std::chrono::duration_cast<std::chrono::microseconds>(
                     std::chrono::system_clock::now().time_since_epoch())
                     .count();
  const doctor::Checks checks = doctor::examine(bench);
  const auto count = [&](Verdict verdict) {
    return std::count_if(checks.begin(), checks.end(),
                         [verdict](const Check& check) { return check.verdict == verdict; });
  };
  const auto troubles = count(Verdict::trouble), notes = count(Verdict::note);
  if (parsed.flag("json")) {
    nlohmann::ordered_json list = nlohmann::ordered_json::array();
    for (const Check& check : checks) list.push_back(check_json(check));
    const nlohmann::ordered_json answer{{"bench", bench.file.name},
                                        {"well", troubles == 0},
                                        {"troubles", troubles},
                                        {"notes", notes},
                                        {"checks", std::move(list)}};
    streams.out << answer.dump() << '\n';
  } else {
    for (const Check& check : checks) streams.out << check_text(check, streams.colour);
    streams.out << fmt::format("{}: {} checks, {} in trouble, {} to note\n", bench.file.name,
                               checks.size(), troubles, notes);
  }
  return troubles == 0 ? exit_done : exit_code(Fault::unavailable);
}

}  // namespace

cli::CommandSpec doctor_command() {
  cli::CommandSpec command;
  command.name = "doctor";
  command.summary = "look over a bench: what is wrong, or may go wrong, and what to do";
  command.description = {
      "Looks at everything a bench needs to be left alone for months: the daemon, ports and who "
      "holds them, their names and rights, USB adapters that are put to sleep, programs that take "
      "ports by themselves, the store and its log, what is kept how long, SQLite, room on the disk "
      "and for how many days it lasts, whether flushing is real, the clock, the probes' "
      "calibrations, what is owed to notebooks, and their passwords. Each check says in one "
      "sentence what it found and, where something is to be done, in one what.",
      "It opens no port, changes nothing, and needs no daemon (that none runs is a trouble of its "
      "own). Run it as the user of the daemon, or as root: others may not see all. A large store "
      "takes some seconds, since its pages are read."};
  command.options = {bench_option(), json_option()};
  command.examples = {{"nestcup doctor", "may this bench be left alone?"},
                      {"nestcup doctor --bench bench.toml --json", "the same for a script"}};
  command.exit_notes = {{69, "something is in trouble; notes alone give 0"},
                        {78, "the bench file is wrong"}};
  command.run = run_doctor;
  return command;
}

}  // namespace nestcup
