// nestcup status: is all well at the bench?
#include <fmt/format.h>

#include "core/base/exit_code.hpp"
#include "tools/cli/output.hpp"
#include "tools/cli/parsed.hpp"
#include "tools/client/client.hpp"
#include "tools/commands.hpp"
#include "tools/place.hpp"

namespace nestcup {
namespace {

using Status = nlohmann::json;

std::string seconds(const Status& value) {
  if (value.is_null()) return "-";
  const double s = value.get<double>();
  return s < 120.0 ? fmt::format("{:.1f} s", s) : fmt::format("{:.0f} min", s / 60.0);
}

int fault_total(const Status& faults) {
  int total = 0;
  for (const auto& count : faults) total += count.get<int>();
  return total;
}

std::string run_line(const Status& run) {
  std::string text = run.at("state").get<std::string>();
  if (!run.at("since_onset_s").is_null()) {
    text += ", onset " + seconds(run["since_onset_s"]) + " ago";
  }
  if (!run.at("after_period_s").is_null()) {
    text += fmt::format(", after period {} of {}", seconds(run["after_period_s"]),
                        seconds(run.at("after_period_wanted_s")));
  }
  if (!run.at("last_finished").is_null()) {
    text += fmt::format("; last finished: run {}", run["last_finished"].at("number").get<int>());
  }
  return text;
}

std::string sheet_line(const Status& sheet) {
  if (sheet.is_null()) return "none; runs belong to no trial";
  const Status& next = sheet.at("next_trial");
  const std::string title = sheet.at("title").get<std::string>();
  if (next.is_null()) return title + "; all trials are done";
  return fmt::format("{}; next: trial {}, repeat {} ({}){}", title,
                     next.at("name").get<std::string>(), next.at("number").get<int>(),
                     next.at("purpose").get<std::string>(),
                     next.at("chosen").get<bool>() ? ", chosen" : "");
}

std::string probe_line(const Status& probe) {
  if (probe.at("last_degC").is_null()) {
    return fmt::format("no reading for {}, {} faults", seconds(probe.at("age_s")),
                       fault_total(probe.at("faults")));
  }
  const bool steady = !probe.at("steady_for_s").is_null();
  return fmt::format(
      "{:.3f} \xC2\xB0"
      "C, {} ago, {}, {} readings, {} faults",
      probe["last_degC"].get<double>(), seconds(probe.at("age_s")),
      steady ? "steady for " + seconds(probe["steady_for_s"]) : "not steady",
      probe.at("readings").get<std::int64_t>(), fault_total(probe.at("faults")));
}

std::string store_line(const Status& store) {
  const std::string error = store.at("error");
  return fmt::format("{}, {} readings committed, {} waiting{}", store.at("path").get<std::string>(),
                     store.at("committed_readings").get<std::int64_t>(),
                     store.at("held_readings").get<std::int64_t>(),
                     error.empty() ? "" : ", failing: " + error);
}

std::string clock_line(const Status& clock) {
  const Status& synchronised = clock.at("synchronised");
  std::string text = clock.at("now");
  text += synchronised.is_null()     ? ", synchronisation not known"
          : synchronised.get<bool>() ? ", synchronised"
                                     : ", not synchronised";
  if (clock.at("steps").get<int>() > 0) {
    text += fmt::format(", {} steps since the start", clock["steps"].get<int>());
  }
  if (clock.at("speed").get<double>() != 1.0) {
    text += fmt::format(", running {} times as fast", clock["speed"].get<double>());
  }
  return text;
}

std::string service_line(const Status& service) {
  if (service.is_null()) return "none that is told; started by hand";
  std::string text = "is told: " + service.at("told").get<std::string>();
  if (service.at("watchdog_s").is_null()) return text + "; it wants no signs of life";
  text += fmt::format("; a sign of life is due every {}", seconds(service["watchdog_s"]));
  const std::string withheld = service.at("withheld");
  if (!withheld.empty()) return text + ", but withheld: " + withheld;
  return text + ", the last was " + seconds(service.at("since_sign_s")) + " ago";
}

std::string status_text(const Status& status, bool colour) {
  const bool well = status.at("well");
  std::string text = fmt::format("{:<14}{}\n", status.at("bench").get<std::string>(),
                                 cli::toned(well ? "all is well" : "something needs you",
                                            well ? cli::Tone::good : cli::Tone::bad, colour));
  const auto line = [&](const std::string& label, const std::string& rest) {
    text += fmt::format("{:<14}{}\n", label, rest);
  };
  line("run", run_line(status.at("run")));
  line("sheet", sheet_line(status.at("sheet")));
  if (status.at("results_hidden").get<bool>()) {
    line("results", "hidden from all but this machine; nestcup results --show ends that");
  }
  for (const Status& probe : status.at("probes")) {
    line("probe " + probe.at("name").get<std::string>(), probe_line(probe));
  }
  for (const Status& port : status.at("ports")) {
    line("port " + port.at("name").get<std::string>(),
         fmt::format("{} for {}, {} lines, {} faulty", port.at("state").get<std::string>(),
                     seconds(port.at("for_s")), port.at("data_lines").get<std::int64_t>(),
                     port.at("faulty_lines").get<std::int64_t>()));
  }
  line("store", store_line(status.at("store")));
  line("clock", clock_line(status.at("clock")));
  line("service", service_line(status.at("service")));
  for (const Status& problem : status.at("problems")) line("problem", problem.get<std::string>());
  return text;
}

int run_status(const cli::Parsed& parsed, cli::Streams& streams) {
  const auto bench = chosen_bench(parsed);
  if (!bench) return cli::report_error(streams, bench.error());
  const auto status = call(bench->control, "GET", "/v1/status");
  if (!status) return cli::report_error(streams, status.error());
  if (parsed.flag("json")) {
    streams.out << status->dump() << '\n';
  } else {
    streams.out << status_text(*status, streams.colour);
  }
  return status->at("well").get<bool>() ? exit_done : exit_code(Fault::unavailable);
}

}  // namespace

cli::CommandSpec status_command() {
  cli::CommandSpec command;
  command.name = "status";
  command.summary = "say whether all is well at a bench";
  command.description = {
      "Asks the running daemon: probes with their last readings and faults, ports, the state of "
      "the "
      "run, the store and the clock, and what needs a person, if anything does."};
  command.options = {bench_option(), json_option()};
  command.examples = {{"nestcup status --bench bench.toml", "is all well?"}};
  command.exit_notes = {{69, "the daemon does not answer, or something needs a person"},
                        {78, "the bench file is wrong"}};
  command.run = run_status;
  return command;
}

}  // namespace nestcup
