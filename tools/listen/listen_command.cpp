#include "tools/listen/listen_command.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <nlohmann/json.hpp>

#include "drivers/line/port_list.hpp"
#include "drivers/protocol/text_lines.hpp"
#include "tools/listen/listen.hpp"
#include "tools/listen/proposal.hpp"

namespace nestcup {
namespace {

/// Enough for any proposal; a flood is counted, but not kept.
constexpr std::size_t most_kept_bytes = 1'000'000;

nlohmann::ordered_json heard_json(const Heard& heard, std::size_t bytes,
                                  const std::string& entries) {
  nlohmann::ordered_json json{{"bytes", bytes},
                              {"whole_lines", heard.whole_lines},
                              {"data_lines", heard.data_lines},
                              {"protocol", nullptr},
                              {"probes", nlohmann::ordered_json::array()},
                              {"bench_entries", entries},
                              {"advice", heard.advice}};
  if (!heard.protocol.empty()) json["protocol"] = heard.protocol;
  for (const ProposedProbe& probe : heard.probes) {
    json["probes"].push_back(
        {{"place", probe.place}, {"last", probe.last}, {"likely_temperature", probe.likely}});
  }
  return json;
}

/// What has been heard so far, shown line by line as it comes.
class Ear {
 public:
  Ear(cli::Streams& streams, bool quiet) : streams_(streams), quiet_(quiet) {}

  void take(std::span<const char> bytes) {
    count_ += bytes.size();
    if (kept_.size() < most_kept_bytes) kept_.append(bytes.data(), bytes.size());
    if (quiet_) return;
    drivers::TextLine line;
    while (lines_.next(bytes, line)) {
      streams_.out << fmt::format("{}{}\n", line.first ? "(begun before) " : "",
                                  readable(line.text));
    }
    streams_.out << std::flush;
  }
  [[nodiscard]] const std::string& kept() const { return kept_; }
  [[nodiscard]] std::size_t count() const { return count_; }

 private:
  cli::Streams& streams_;
  bool quiet_;
  std::string kept_;
  std::size_t count_ = 0;
  drivers::TextLines lines_;
};

void report(const Heard& heard, std::size_t bytes, const std::string& entries,
            cli::Streams& streams) {
  streams.out << fmt::format("\n{} bytes, {} whole lines, {} of them data\n", bytes,
                             heard.whole_lines, heard.data_lines);
  if (heard.protocol.empty()) {
    streams.out << heard.advice << '\n';
    return;
  }
  streams.out << fmt::format("this is protocol \"{}\"; for the bench file:\n\n{}", heard.protocol,
                             entries);
}

}  // namespace

std::vector<cli::OptionSpec> mode_options() {
  return {
      {.name = "baud", .value_name = "N", .help = "the line's rate, Bd", .default_text = "115200"},
      {.name = "parity",
       .value_name = "P",
       .help = "none, even or odd",
       .default_text = "none",
       .complete = {cli::Hint::words, {"none", "even", "odd"}}}};
}

Result<LineMode> chosen_mode(const cli::Parsed& parsed) {
  LineMode mode;
  const auto baud = parsed.whole_number("baud");
  if (!baud) return baud.error();
  mode.baud = static_cast<int>(std::clamp<std::int64_t>(baud->value_or(115200), 0, 4'000'001));
  if (mode.baud < 1 || mode.baud > 4'000'000 || mode.baud == 1200) {
    return Error{Fault::usage,
                 "option --baud: 1 to 4000000 is possible, but not 1200, which sends many boards "
                 "into their boot loader"};
  }
  const std::string parity = parsed.text("parity").value_or("none");
  if (parity == "even") mode.parity = Parity::even;
  if (parity == "odd") mode.parity = Parity::odd;
  if (parity != "none" && mode.parity == Parity::none) {
    return Error{Fault::usage, "option --parity: none, even or odd is expected"};
  }
  return mode;
}

Result<double> chosen_seconds(const cli::Parsed& parsed) {
  const auto seconds = parsed.number("seconds");
  if (!seconds) return seconds.error();
  const double chosen = seconds->value_or(10.0);
  if (!(chosen >= 0.1 && chosen <= 86400.0)) {
    return Error{Fault::usage, "option --seconds: 0.1 to 86400 is possible"};
  }
  return chosen;
}

Result<std::string> with_escapes(const std::string& text) {
  std::string bytes;
  for (std::size_t i = 0; i < text.size(); ++i) {
    if (text[i] != '\\') {
      bytes += text[i];
      continue;
    }
    const char kind = i + 1 < text.size() ? text[++i] : '\0';
    constexpr std::string_view letters = "nrt\\", meant = "\n\r\t\\";
    if (const auto at = letters.find(kind); kind != '\0' && at != std::string_view::npos) {
      bytes += meant[at];
      continue;
    }
    unsigned value = 0;
    const char* const digits = text.data() + i + 1;
    const char* const end = text.data() + std::min(text.size(), i + 3);
    const bool is_hex =
        kind == 'x' && end - digits == 2 && std::from_chars(digits, end, value, 16).ptr == end;
    if (!is_hex) {
      return Error{Fault::usage, fmt::format("option --ask: after \\ one of n, r, t, \\ or xHH is "
                                             "expected in \"{}\"",
                                             text)};
    }
    bytes += static_cast<char>(value);
    i += 2;
  }
  return bytes;
}

std::vector<cli::OptionSpec> listen_options() {
  std::vector<cli::OptionSpec> options = mode_options();
  options.insert(options.begin(), {.name = "listen",
                                   .value_name = "PORT",
                                   .help = "open this port and show what arrives",
                                   .complete = {cli::Hint::file}});
  options.push_back(
      {.name = "seconds", .value_name = "S", .help = "how long to listen", .default_text = "10"});
  options.push_back({.name = "ask",
                     .value_name = "TEXT",
                     .help = "send this once; \\n, \\r and \\xHH stand for bytes"});
  return options;
}

int listen_to_port(const cli::Parsed& parsed, cli::Streams& streams) {
  const auto mode = chosen_mode(parsed);
  if (!mode) return cli::report_error(streams, mode.error());
  const auto seconds = chosen_seconds(parsed);
  if (!seconds) return cli::report_error(streams, seconds.error());
  const auto ask = with_escapes(parsed.text("ask").value_or(""));
  if (!ask) return cli::report_error(streams, ask.error());
  const bool json = parsed.flag("json");
  ListenTask task;
  task.port.name = "port";
  task.port.device = *parsed.text("listen");
  task.port.mode = *mode;
  task.port.settle_s = 0.0;  // a person wants to see the banner, too
  task.for_s = *seconds;
  task.ask = *ask;
  Ear ear(streams, json);
  task.on_traffic = [&](drivers::Direction direction, std::span<const char> bytes, TimeUs) {
    if (direction == drivers::Direction::from_device) ear.take(bytes);
  };
  task.on_news = [&](const std::string& text) {
    streams.err << fmt::format("{}: {}\n", streams.program, text);
  };
  if (const auto done = listen(task); !done) return cli::report_error(streams, done.error());
  const Heard heard = hear(ear.kept());
  const std::string device = drivers::lasting_link(task.port.device).value_or(task.port.device);
  const std::string entries = entries_text(heard, device, mode->baud);
  if (json) {
    streams.out << heard_json(heard, ear.count(), entries).dump() << '\n';
  } else {
    report(heard, ear.count(), entries, streams);
  }
  return 0;
}

}  // namespace nestcup
