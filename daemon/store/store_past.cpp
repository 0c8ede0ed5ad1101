#include "daemon/store/store_past.hpp"

#include <limits>

#include "core/notebook/notebook.hpp"
#include "core/store/outbox.hpp"
#include "core/store/run_counts.hpp"
#include "daemon/store/bench_facts.hpp"
#include "daemon/store/delivery.hpp"
#include "daemon/store/hiding.hpp"

namespace nestcup::daemon {
namespace {

/// Longer than any foreperiod and run together, so that a run under way is found whole.
constexpr TimeUs resume_window_us = 55 * 60 * us_per_s;
constexpr TimeUs any_later_us = std::numeric_limits<TimeUs>::max();

/// Where the readings begin that tell how the bench stands. What came behind a run is understood by
/// it: the cup may be filled anew to where that run began, and mixed to where it ended.
TimeUs taken_up_from(Past& past, const std::optional<RunSpan>& run) {
  const TimeUs from_us = *past.last_us - resume_window_us;
  if (!run || run->last_us < from_us) return from_us;
  past.run = run;
  return run->first_us;
}

/// Readings of a store as those of the bench's probes, which are known by their names.
std::vector<Reading> by_bench(std::vector<Reading> readings, const std::vector<StoredProbe>& rows,
                              const BenchFile& file) {
  std::vector<std::optional<std::uint16_t>> place(rows.size());
  for (std::size_t i = 0; i < rows.size(); ++i) {
    for (std::size_t probe = 0; probe < file.probes.size(); ++probe) {
      if (file.probes[probe].name == rows[i].name) place[i] = static_cast<std::uint16_t>(probe);
    }
  }
  std::erase_if(readings, [&](const Reading& one) { return !place.at(one.probe); });
  for (Reading& one : readings) one.probe = *place[one.probe];
  return readings;
}

void rescue_readings(const Store& store, const BenchFile& file, Past& past) {
  if (const auto last = store.last_reading_us()) past.last_us = *last;
  if (!past.last_us) return;
  const auto run = store.last_run_span();
  TimeUs from_us = taken_up_from(past, run ? *run : std::nullopt);
  // The run itself comes back by an import: its readings must not be found to be another.
  if (past.run) from_us = past.run->last_us + 1;
  const auto rows = store.probes();
  auto readings = store.readings(from_us, *past.last_us);
  if (rows && readings) past.readings = by_bench(std::move(*readings), *rows, file);
  if (auto events = store.events(from_us, any_later_us)) past.events = std::move(*events);
}

}  // namespace

Result<Past> read_past(const Store& store, std::size_t run_probes) {
  Past past;
  auto calibrations = store.calibrations();
  if (!calibrations) return calibrations.error();
  past.calibrations = std::move(*calibrations);
  const auto hidden = stored_as_hidden(store);
  if (!hidden) return hidden.error();
  past.results_hidden = *hidden;
  const auto session = store.last_session();
  if (!session) return session.error();
  past.session = *session;
  const auto runs = run_counts(store.path());
  if (!runs) return runs.error();
  past.runs = runs->finished + runs->struck;
  const auto last = store.last_reading_us();
  if (!last) return last.error();
  past.last_us = *last;
  if (!past.last_us) return past;
  const auto run = store.last_run_span();
  if (!run) return run.error();
  const TimeUs from_us = taken_up_from(past, *run);
  auto readings = store.readings(from_us, *past.last_us, run_probes);
  if (!readings) return readings.error();
  past.readings = std::move(readings).value();
  // A calibration may be newer than the last reading.
  auto events = store.events(from_us, any_later_us);
  if (!events) return events.error();
  past.events = std::move(events).value();
  return past;
}

Past rescued_past(const Store& store, const BenchFile& file) {
  Past past;
  if (auto rows = store.calibrations()) past.calibrations = std::move(*rows);
  if (const auto hidden = stored_as_hidden(store)) past.results_hidden = *hidden;
  if (auto session = store.last_session()) past.session = std::move(*session);
  rescue_readings(store, file, past);
  return past;
}

Result<void> introduce_bench(Store& store, const BenchFile& file,
                             const std::vector<StoredCalibration>& calibrations) {
  const auto probes = stored_probes(file, held_on_bench(file, calibrations));
  if (auto ids = store.register_probes(probes); !ids) return ids.error();
  std::vector<std::string> notebooks;
  for (const NotebookSettings& one : file.notebooks) notebooks.push_back(notebook_name(one));
  return Outbox(store).use_notebooks(notebooks, unix_now_us());
}

Result<void> begin_with(Store& store, const BenchFile& file, const Past& past) {
  for (const StoredCalibration& row : past.calibrations) {
    if (auto added = store.add_calibration(row); !added) return added.error();
  }
  if (auto ready = introduce_bench(store, file, past.calibrations); !ready) return ready;
  if (past.session) {
    if (auto added = store.add_session(*past.session); !added) return added;
  }
  std::vector<StoredEvent> events = past.events;
  const TimeUs now_us = past.last_us.value_or(unix_now_us());
  if (past.results_hidden) events.push_back(hiding_event(now_us, true, "the store before"));
  return store.add(past.readings, events);
}

}  // namespace nestcup::daemon
