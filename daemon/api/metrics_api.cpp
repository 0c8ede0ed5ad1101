#include "daemon/api/metrics_api.hpp"

#include <chrono>
#include <utility>

#include "core/base/version.hpp"
#include "core/store/run_counts.hpp"
#include "daemon/api/metrics_text.hpp"
#include "daemon/health/process_facts.hpp"

namespace nestcup::daemon {
namespace {

using enum MetricKind;

std::uint64_t one_if(bool holds) {
  return holds ? 1 : 0;
}

Response metrics_response(const MetricsText& metrics) {
  Response response;
  response.content_type = metrics_content_type;
  response.body = metrics.text();
  return response;
}

void tell_faults(MetricsText& to, const MetricLabels& whose, const drivers::FaultCounts& faults) {
  for (std::size_t i = 0; i < drivers::line_fault_kinds; ++i) {
    const auto kind = static_cast<drivers::LineFault>(i);
    MetricLabels labels = whose;
    labels.emplace_back("kind", drivers::fault_name(kind));
    to.value(labels, faults.of(kind));
  }
}

/// One family of the probes; `tell` gets each with its labels.
void each_probe(Bench& bench, const auto& tell) {
  const std::vector<ProbeState> states = bench.probes();
  for (std::size_t i = 0; i < states.size(); ++i) {
    const ProbeSettings& probe = bench.file().probes[i];
    tell(MetricLabels{{"probe", probe.name}, {"role", std::string(role_name(probe.role))}},
         states[i]);
  }
}

void tell_probes(MetricsText& to, Bench& bench) {
  to.family("nestcup_probe_readings", counter, "", "Readings taken of a probe.");
  each_probe(bench, [&](const MetricLabels& labels, const ProbeState& state) {
    to.value(labels, state.counts.readings);
  });
  to.family("nestcup_probe_dropped_readings", counter, "",
            "Readings beyond what a probe may send, which were not kept.");
  each_probe(bench, [&](const MetricLabels& labels, const ProbeState& state) {
    to.value(labels, state.rate.dropped());
  });
  to.family("nestcup_probe_faults", counter, "", "What a device sent for a probe and was none.");
  each_probe(bench, [&](const MetricLabels& labels, const ProbeState& state) {
    tell_faults(to, labels, state.counts.faults);
  });
  to.family("nestcup_probe_fresh", gauge, "",
            "1 where the newest reading is recent enough to be the temperature now.");
  each_probe(bench, [&](const MetricLabels& labels, const ProbeState& state) {
    to.value(labels, one_if(!state.stale));
  });
  to.family("nestcup_probe_temperature_celsius", gauge, "celsius",
            "The newest reading; left out where it is too old.");
  each_probe(bench, [&](const MetricLabels& labels, const ProbeState& state) {
    if (!state.stale && state.counts.last_degC) to.value(labels, *state.counts.last_degC);
  });
}

/// One family of the ports, a counter.
void tell_port_counter(MetricsText& to, const std::vector<drivers::PortHealth>& ports,
                       std::string_view name, std::string_view unit, std::string_view help,
                       const auto& count) {
  to.family(name, counter, unit, help);
  for (const auto& port : ports) to.value({{"port", port.port}}, std::uint64_t{count(port)});
}

void tell_ports(MetricsText& to, const std::vector<drivers::PortHealth>& ports) {
  using drivers::PortHealth;
  to.family("nestcup_port_connected", gauge, "", "1 where a port is open and is taken or settles.");
  for (const PortHealth& port : ports) {
    const auto state = port.line.state;
    to.value({{"port", port.port}},
             one_if(state == drivers::LineState::open || state == drivers::LineState::settling));
  }
  tell_port_counter(to, ports, "nestcup_port_opens", "", "Times that a port was opened.",
                    [](const PortHealth& port) { return port.serial.opens; });
  tell_port_counter(to, ports, "nestcup_port_received_bytes", "bytes", "Bytes taken from a port.",
                    [](const PortHealth& port) { return port.serial.bytes; });
  tell_port_counter(to, ports, "nestcup_port_data_lines", "", "Lines or frames with readings.",
                    [](const PortHealth& port) { return port.lines.data; });
  tell_port_counter(to, ports, "nestcup_port_unanswered_requests", "",
                    "Questions that a polled device did not answer in time.",
                    [](const PortHealth& port) { return port.requests.unanswered; });
  to.family("nestcup_port_faults", counter, "", "Lines or frames that were none.");
  for (const PortHealth& port : ports) tell_faults(to, {{"port", port.port}}, port.lines.faults);
}

void tell_store(MetricsText& to, const RecorderStatus& status) {
  to.family("nestcup_store_committed_readings", counter, "", "Readings that are on the disk.");
  to.value({}, status.committed_readings);
  to.family("nestcup_store_held_readings", gauge, "", "Readings that are held in memory.");
  to.value({}, std::uint64_t{status.held_readings});
  to.family("nestcup_store_lost_readings", counter, "", "Readings that could not be kept.");
  to.value({}, status.lost_readings);
  to.family("nestcup_store_commit_seconds", summary, "seconds",
            "Commits of readings with their syncs, and how long they took.");
  to.summary(status.commits, status.commits_ms * 1e-3);
  to.family("nestcup_store_longest_commit_seconds", gauge, "seconds", "The longest of them.");
  to.value({}, status.longest_commit_ms * 1e-3);
  to.family("nestcup_store_failed_commits", counter, "", "Attempts to write that failed.");
  to.value({}, status.failed_commits);
  to.family("nestcup_store_writable", gauge, "", "1 where the last attempt to write went well.");
  to.value({}, one_if(status.error.empty()));
}

void tell_bench(MetricsText& to, const MetricsSources& from) {
  to.family("nestcup_run_state", stateset, "", "The life of a run.");
  to.states({"watching", "suspected", "running"}, run_state_name(from.bench.run().state));
  const SamplerStatus sampler = from.bench.sampler();
  to.family("nestcup_sampler_ticks", counter, "", "Times of the grid at which probes were asked.");
  to.value({}, sampler.ticks);
  to.family("nestcup_sampler_missed_ticks", counter, "", "Times of the grid that passed unused.");
  to.value({}, sampler.missed);
  to.family("nestcup_clock_steps", counter, "", "Steps of the wall clock since the start.");
  to.value({}, static_cast<std::uint64_t>(from.bench.clock_steps()));
  to.family("nestcup_notebook_owed_entries", gauge, "", "Records that a notebook has yet to get.");
  for (const NotebookState& notebook : from.delivery.states()) {
    to.value({{"notebook", notebook.name}}, static_cast<std::uint64_t>(notebook.waiting));
  }
  to.family("nestcup_notebook_reachable", gauge, "", "1 where the last pass over it went well.");
  for (const NotebookState& notebook : from.delivery.states()) {
    to.value({{"notebook", notebook.name}}, one_if(notebook.failure.empty()));
  }
}

void tell_program(MetricsText& to, const MetricsSources& from, double started_unix_s) {
  to.family("nestcup_build", info, "", "What was built.");
  to.value({{"version", version_text}, {"commit", commit_text}}, std::uint64_t{1});
  const Connections now = from.connections();
  to.family("nestcup_connections", gauge, "", "Connections that are open.");
  to.value({{"server", "control"}}, now.control);
  to.value({{"server", "page"}}, now.page);
  to.family("nestcup_streams", gauge, "", "Those of them that watch the stream.");
  to.value({}, now.streams);
  const ProcessFacts process = process_facts();
  to.family("process_cpu_seconds", counter, "seconds", "Processor time, user and system.");
  to.value({}, process.cpu_s);
  to.family("process_resident_memory_bytes", gauge, "bytes", "Memory that is resident.");
  if (process.resident_bytes) to.value({}, *process.resident_bytes);
  to.family("process_open_fds", gauge, "", "File descriptors that are open.");
  if (process.open_files) to.value({}, *process.open_files);
  to.family("process_start_time_seconds", gauge, "seconds", "When the daemon began, Unix time.");
  to.value({}, started_unix_s);
}

void metrics(const MetricsSources& from, double started_unix_s, const Reply& reply) {
  MetricsText told;
  tell_program(told, from, started_unix_s);
  tell_probes(told, from.bench);
  tell_ports(told, from.bench.ports());
  tell_store(told, from.bench.recorder().status());
  tell_bench(told, from);
  const auto counted = [reply, told](const Response& response) {
    reply(response.status == 200 ? response : metrics_response(told));
  };
  from.reader.answer(counted, [told](const Store& store) -> Result<Response> {
    const auto runs = run_counts(store.path());
    if (!runs) return runs.error();
    MetricsText all = told;
    all.family("nestcup_runs", gauge, "", "Runs in the store that count, and that are struck out.");
    all.value({{"status", "finished"}}, runs->finished);
    all.value({{"status", "struck"}}, runs->struck);
    return metrics_response(all);
  });
}

}  // namespace

void add_metrics_routes(Router& router, MetricsSources sources) {
  const std::chrono::duration<double> started = std::chrono::system_clock::now().time_since_epoch();
  router.add({"GET", "/metrics",
              [sources = std::move(sources), started](const Request&, const Reply& reply) {
                metrics(sources, started.count(), reply);
              }});
}

}  // namespace nestcup::daemon
