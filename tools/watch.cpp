// nestcup watch: the bench in the terminal, as it goes on.
#include <unistd.h>

#include <cstdlib>

#include "core/base/exit_code.hpp"
#include "tools/cli/output.hpp"
#include "tools/cli/parsed.hpp"
#include "tools/commands.hpp"
#include "tools/place.hpp"
#include "tools/watch/show.hpp"

namespace nestcup {
namespace {

std::optional<std::string> environment(const char* variable) {
  const char* const value = std::getenv(variable);
  if (value == nullptr) return std::nullopt;
  return value;
}

/// A screen can be shown where the output is a terminal that knows more than lines.
bool has_screen() {
  return isatty(STDOUT_FILENO) == 1 && environment("TERM").value_or("dumb") != "dumb";
}

Result<watch::LineStyle> line_style(const cli::Parsed& parsed) {
  const auto every_s = parsed.number("every");
  if (!every_s) return every_s.error();
  constexpr double shortest_s = 0.1, longest_s = 86400.0, usual_s = 10.0;
  const double wanted_s = every_s->value_or(usual_s);
  if (!(wanted_s >= shortest_s && wanted_s <= longest_s)) {
    return Error{Fault::usage, "option --every: 0.1 to 86400 seconds are possible"};
  }
  return watch::LineStyle{parsed.flag("json"),
                          std::chrono::milliseconds(static_cast<long>(wanted_s * 1e3))};
}

Result<watch::Words> chosen_words(const cli::Parsed& parsed) {
  const auto tag = parsed.text("language");
  const auto language = tag ? language_from_tag(*tag) : watch::language_of(environment);
  if (!language) return Error{Fault::usage, "option --language: en or de is expected"};
  return watch::Words(*language, watch::charset_of(environment));
}

int run_watch(const cli::Parsed& parsed, cli::Streams& streams) {
  const auto style = line_style(parsed);
  if (!style) return cli::report_error(streams, style.error());
  const auto words = chosen_words(parsed);
  if (!words) return cli::report_error(streams, words.error());
  const auto bench = chosen_bench(parsed);
  if (!bench) return cli::report_error(streams, bench.error());
  const watch::Signals signals;
  watch::Feed feed(bench->control);
  if (auto begun = feed.begin(); !begun) return cli::report_error(streams, begun.error());
  feed.start();
  if (has_screen() && !style->json && !parsed.flag("lines")) {
    watch::show_screen(feed, signals, *words, streams);
  } else {
    watch::show_lines(feed, signals, *words, *style, streams);
  }
  return exit_done;
}

}  // namespace

cli::CommandSpec watch_command() {
  cli::CommandSpec command;
  command.name = "watch";
  command.summary = "watch a bench in the terminal";
  command.description = {
      "Shows what the live page shows: each probe's temperature in large digits and whether it is "
      "steady, what to do next, the time since the mixing and the next timed reading, in the after "
      "period the corrected rise as it gets surer, and the curve. q ends it, s shows another span "
      "of time. The screen follows the window's size, from 40 columns on. Where the daemon goes "
      "away, the last facts stay with a word about that, until it is there again.",
      "Where standard output is no terminal, or with --lines, it prints lines: one for everything "
      "that happens, and one every few seconds with how the bench stands; with --json each is a "
      "JSON object. It goes on until it is stopped (Ctrl-C, SIGTERM) or nobody reads any more.",
      "Texts are in the language of the locale (LC_ALL, LC_MESSAGES, LANG), English where that has "
      "none; where its characters are not UTF-8 (LC_CTYPE), everything is ASCII. There is no "
      "colour where NO_COLOR is set."};
  command.options = {bench_option(),
                     {.name = "every",
                      .value_name = "S",
                      .help = "seconds between two lines on how the bench stands",
                      .default_text = "10"},
                     {.name = "json", .help = "one JSON object a line"},
                     {.name = "lines", .help = "lines on a terminal, too"},
                     {.name = "language",
                      .value_name = "TAG",
                      .help = "en or de, whatever the locale says",
                      .complete = {cli::Hint::words, {"en", "de"}}}};
  command.examples = {{"nestcup watch", "the bench of bench.toml in this folder"},
                      {"nestcup watch --json --every 1 | head -n 60", "a minute, for a program"}};
  command.exit_notes = {{69, "no daemon answers at the start"},
                        {77, "the control socket may not be used"},
                        {78, "the bench file is wrong"}};
  command.run = run_watch;
  return command;
}

}  // namespace nestcup
