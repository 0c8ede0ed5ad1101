// nestcup capture: the traffic of a port, byte for byte, into a file.
#include <fmt/format.h>

#include <cerrno>
#include <cstdio>
#include <cstring>
#include <memory>

#include "core/base/time_text.hpp"
#include "core/base/version.hpp"
#include "drivers/line/adapter_identity.hpp"
#include "tools/cli/output.hpp"
#include "tools/cli/parsed.hpp"
#include "tools/commands.hpp"
#include "tools/listen/listen.hpp"
#include "tools/listen/listen_command.hpp"
#include "tools/listen/machine_clock.hpp"
#include "tools/place.hpp"

namespace nestcup {
namespace {

std::string_view parity_letter(Parity parity) {
  return parity == Parity::none ? "N" : parity == Parity::even ? "E" : "O";
}

std::string header_text(const PortSettings& port) {
  const auto adapter = drivers::adapter_behind(port.device);
  return fmt::format(
      "# nestcup-capture 1\n# started {}, nestcup {}\n# port {}, protocol {}, {} Bd 8{}{}\n"
      "# adapter {}\n# microseconds since the start, < from the device or > to it, bytes\n",
      rfc3339(MachineClock().wall_us()), version_text, port.name, port.protocol, port.mode.baud,
      parity_letter(port.mode.parity), port.mode.stop_bits,
      adapter ? adapter->text() : "not known");
}

std::string event_text(drivers::Direction direction, std::span<const char> bytes, TimeUs now_us) {
  std::string text =
      fmt::format("{} {} ", now_us, direction == drivers::Direction::to_device ? '>' : '<');
  for (const char byte : bytes) text += fmt::format("{:02x}", static_cast<unsigned char>(byte));
  return text + '\n';
}

/// The port that the options mean: one of a bench file with its probes, or a device alone.
Result<ListenTask> chosen_task(const cli::Parsed& parsed) {
  ListenTask task;
  const auto seconds = chosen_seconds(parsed);
  if (!seconds) return seconds.error();
  task.for_s = *seconds;
  if (parsed.flag("bench") == parsed.flag("device")) {
    return Error{Fault::usage, "either --bench FILE (with --port NAME) or --device PATH is needed"};
  }
  if (parsed.flag("device")) {
    const auto mode = chosen_mode(parsed);
    if (!mode) return mode.error();
    task.port.name = "port";
    task.port.device = *parsed.text("device");
    task.port.mode = *mode;
    return task;
  }
  const auto bench = chosen_bench(parsed);
  if (!bench) return bench.error();
  const std::string wanted = parsed.text("port").value_or(bench->ports.front().name);
  for (const PortSettings& port : bench->ports) {
    if (port.name == wanted) task.port = port;
  }
  if (task.port.name.empty()) {
    return Error{Fault::usage,
                 fmt::format("option --port: \"{}\" is no port of {}; its first is {}", wanted,
                             bench->path, bench->ports.front().name)};
  }
  for (const ProbeSettings& probe : bench->probes) {
    if (probe.port == wanted) task.probes.push_back(probe);
  }
  task.interval_s = bench->interval_s;
  return task;
}

int run_capture(const cli::Parsed& parsed, cli::Streams& streams) {
  auto task = chosen_task(parsed);
  if (!task) return cli::report_error(streams, task.error());
  const std::string path = *parsed.text("out");
  // Never over another file: a capture may be the only one of its kind.
  const std::unique_ptr<std::FILE, int (*)(std::FILE*)> file(std::fopen(path.c_str(), "wx"),
                                                             &std::fclose);
  if (!file) {
    return cli::report_error(
        streams, {Fault::cannot_create, fmt::format("{}: {}", path, std::strerror(errno))});
  }
  const auto write = [&](const std::string& text) {
    (void)std::fwrite(text.data(), 1, text.size(), file.get());
    (void)std::fflush(file.get());
  };
  write(header_text(task->port));
  std::size_t bytes = 0;
  task->on_traffic = [&](drivers::Direction direction, std::span<const char> seen, TimeUs now_us) {
    write(event_text(direction, seen, now_us));
    bytes += seen.size();
  };
  task->on_news = [&](const std::string& text) {
    streams.err << fmt::format("{}: {}\n", streams.program, text);
  };
  const auto done = listen(*task);
  if (std::ferror(file.get()) != 0)
    return cli::report_error(streams, {Fault::io, path + ": writing failed"});
  streams.err << fmt::format("{}: {} bytes of traffic in {}\n", streams.program, bytes, path);
  return done ? 0 : cli::report_error(streams, done.error());
}

}  // namespace

cli::CommandSpec capture_command() {
  cli::CommandSpec command;
  command.name = "capture";
  command.summary = "write the traffic of a port to a file, byte for byte";
  command.description = {
      "Opens a port as the daemon would, asks where the device has to be asked, and writes every "
      "byte in both directions with its time. Such a file shows what a device really says; the "
      "simulator plays it (nestcup-sim --capture FILE). The daemon must not have the port open.",
      "With --bench the port's settings and questions are those of the bench file; with --device a "
      "port is only listened to."};
  command.options = {
      bench_option(),
      {.name = "port", .value_name = "NAME", .help = "which of its ports (the first)"},
      {.name = "device",
       .value_name = "PATH",
       .help = "a port without a bench file",
       .complete = {cli::Hint::file}}};
  for (cli::OptionSpec& option : mode_options()) command.options.push_back(option);
  command.options.push_back(
      {.name = "seconds", .value_name = "S", .help = "how long", .default_text = "10"});
  command.options.push_back({.name = "out",
                             .value_name = "FILE",
                             .help = "the file to make; one that is there is never replaced",
                             .complete = {cli::Hint::file},
                             .required = true});
  command.examples = {
      {"nestcup capture --bench bench.toml --port board --seconds 60 --out board.capture",
       "a minute of what goes over the port"},
      {"nestcup capture --device /dev/ttyACM0 --out board.capture", "listen to a board alone"}};
  command.exit_notes = {{66, "no such port"},
                        {69, "the port went away"},
                        {73, "the file is there already, or cannot be made"},
                        {75, "another program has the port"},
                        {77, "the port is not permitted"}};
  command.run = run_capture;
  return command;
}

}  // namespace nestcup
