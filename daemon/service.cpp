#include "daemon/service.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <boost/asio/signal_set.hpp>
#include <csignal>
#include <limits>

#include "core/notebook/notebook.hpp"
#include "core/store/outbox.hpp"
#include "core/store/run_counts.hpp"
#include "daemon/bench_clock.hpp"
#include "daemon/bench_facts.hpp"
#include "daemon/delivery.hpp"
#include "daemon/hidden_results.hpp"
#include "daemon/interface.hpp"
#include "daemon/service_heart.hpp"
#include "daemon/system_manager.hpp"

namespace nestcup::daemon {
namespace {

/// Longer than any foreperiod and run together, so that a run under way is found whole.
constexpr TimeUs resume_window_us = 55 * 60 * us_per_s;
constexpr auto stop_patience = std::chrono::milliseconds(800);

/// What the store knows of the time before this start.
struct Past {
  std::optional<StoredSession> session;
  std::vector<Reading> readings;
  std::vector<StoredEvent> events;
  std::optional<TimeUs> last_us;
  std::vector<StoredCalibration> calibrations;
  bool results_hidden = false;
  std::uint64_t runs = 0;
};

Result<Past> read_past(const Store& store) {
  Past past;
  const auto session = store.last_session();
  if (!session) return session.error();
  past.session = *session;
  const auto last = store.last_reading_us();
  if (!last) return last.error();
  past.last_us = *last;
  if (!past.last_us) return past;
  const auto run_end = store.last_run_end_us();
  if (!run_end) return run_end.error();
  TimeUs from_us = *past.last_us - resume_window_us;
  if (*run_end) from_us = std::max(from_us, **run_end + 1);
  auto readings = store.readings(from_us, *past.last_us);
  if (!readings) return readings.error();
  past.readings = std::move(readings).value();
  // A calibration may be newer than the last reading.
  auto events = store.events(from_us, std::numeric_limits<TimeUs>::max());
  if (!events) return events.error();
  past.events = std::move(events).value();
  return past;
}

/// The store, its lock and what it held.
struct OpenStore {
  StoreLock lock;
  Store store;
  Past past;
};

Result<OpenStore> open_store(const BenchFile& file, const SystemManager& manager) {
  const StartPatience patience(manager);
  auto lock = StoreLock::take(file.store, "nestcupd");
  if (!lock) return lock.error();
  auto store = Store::open(file.store, StoreMode::write);
  if (!store) return store.error();
  auto calibrations = store->calibrations();
  if (!calibrations) return calibrations.error();
  const auto probes = stored_probes(file, held_on_bench(file, *calibrations));
  if (auto ids = store->register_probes(probes); !ids) return ids.error();
  std::vector<std::string> notebooks;
  for (const NotebookSettings& one : file.notebooks) notebooks.push_back(notebook_name(one));
  if (auto used = Outbox(*store).use_notebooks(notebooks, unix_now_us()); !used) {
    return used.error();
  }
  auto past = read_past(*store);
  if (!past) return past.error();
  past->calibrations = std::move(calibrations).value();
  const auto hidden = stored_as_hidden(*store);
  if (!hidden) return hidden.error();
  past->results_hidden = *hidden;
  const auto runs = run_counts(file.store);
  if (!runs) return runs.error();
  past->runs = runs->finished + runs->struck;
  return OpenStore{std::move(lock).value(), std::move(store).value(), std::move(past).value()};
}

}  // namespace

Result<void> run_service(ServiceOptions options) {
  const SystemManager manager;
  // What is not heard is told again; the start goes on without.
  (void)manager.tell(status_line("opening the store " + options.bench.store));
  auto opened = open_store(options.bench, manager);
  if (!opened) return opened.error();
  const BenchClock clock(options.speed, opened->past.session, opened->past.last_us);
  if (auto added = opened->store.add_session(clock.anchor()); !added) return added.error();

  boost::asio::io_context context(1);
  boost::asio::signal_set signals(context, SIGTERM, SIGINT);
  Recorder recorder(std::move(opened->store), options.log);
  Delivery delivery({options.bench.store, options.bench.notebooks, recorder, options.log});
  auto bench = Bench::make({context, clock, recorder, options.bench, options.sheet, options.log,
                            opened->past.calibrations, opened->past.results_hidden,
                            [&delivery] { delivery.wake(); }});
  if (!bench) return bench.error();
  ServiceHeart heart(context, manager, **bench, opened->past.runs, options.log);
  auto interface = Interface::open(
      {context, **bench, delivery, options.speed, options.log, [&heart] { return heart.state(); }});
  if (!interface) return interface.error();

  (*bench)->resume(std::move(opened->past.readings), std::move(opened->past.events));
  (*bench)->start();
  signals.async_wait([&](const boost::system::error_code& cancelled, int signal) {
    if (cancelled) return;
    options.log(fmt::format("stopping on {}", signal == SIGTERM ? "SIGTERM" : "SIGINT"));
    heart.stop();
    (*interface)->stop();
    (*bench)->stop();
    context.stop();
  });
  options.log(fmt::format("ready: bench {}, store {}, {}", options.bench.name, options.bench.store,
                          (*interface)->where()));
  heart.start();
  context.run();
  delivery.stop();
  recorder.stop(stop_patience);
  const RecorderStatus status = recorder.status();
  if (status.lost_readings > 0) {
    return Error{Fault::io, fmt::format("{}: {} readings could not be written", options.bench.store,
                                        status.lost_readings)};
  }
  options.log("stopped; everything is committed");
  return {};
}

}  // namespace nestcup::daemon
