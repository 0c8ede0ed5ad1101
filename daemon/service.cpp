#include "daemon/service.hpp"

#include <fmt/format.h>

#include <boost/asio/signal_set.hpp>
#include <csignal>

#include "core/store/sqlite_release.hpp"
#include "daemon/api/interface.hpp"
#include "daemon/bench/bench_clock.hpp"
#include "daemon/health/service_heart.hpp"
#include "daemon/health/system_manager.hpp"
#include "daemon/store/bench_store.hpp"
#include "daemon/store/delivery.hpp"
#include "daemon/store/housekeeping.hpp"
#include "daemon/store/store_check.hpp"

namespace nestcup::daemon {
namespace {

constexpr auto stop_patience = std::chrono::milliseconds(800);

/// What the daemon ends with.
Result<void> told_of_end(const ServiceOptions& options, const RecorderStatus& status) {
  if (status.lost_readings > 0) {
    return Error{Fault::io, fmt::format("{}: {} readings could not be written", options.bench.store,
                                        status.lost_readings)};
  }
  options.log("stopped; everything is committed");
  return {};
}

}  // namespace

Result<void> run_service(ServiceOptions options) {
  const SystemManager manager;
  // What is not heard is told again; the start goes on without.
  (void)manager.tell(status_line("opening the store " + options.bench.store));
  BenchStore place(options.bench, options.log.at(LogLevel::error));
  auto past = [&] {
    const StartPatience patience(manager);
    return place.open();
  }();
  if (!past) return past.error();
  const BenchClock clock(options.speed, past->session, past->last_us);
  if (auto added = place.begin_session(clock.anchor()); !added) return added.error();

  boost::asio::io_context context(1);
  boost::asio::signal_set signals(context, SIGTERM, SIGINT);
  Recorder recorder(place.take(), options.log,
                    [&place](const std::string& damage) { return place.open_again(damage); });
  Delivery delivery({options.bench.store, options.bench.notebooks, recorder, options.log});
  auto bench =
      Bench::make({context, clock, recorder, options.bench, options.sheet, options.log,
                   past->calibrations, past->results_hidden, [&delivery] { delivery.wake(); }});
  if (!bench) return bench.error();
  Housekeeping housekeeping(
      {context, clock, recorder, options.bench.keep_readings_days, past->last_us,
       [&bench] { return (*bench)->run().state != RunState::watching; }, options.log});
  StoreCheck check(options.bench.store, options.log);
  ServiceHeart heart(context, manager, **bench, past->runs, options.log);
  place.ask([&bench] {
    return BenchStore::Held{(*bench)->calibrations().all(), (*bench)->results_hidden()};
  });
  auto interface = Interface::open({context, **bench, delivery, housekeeping, check, options.speed,
                                    options.log, [&heart] { return heart.state(); }});
  if (!interface) {
    place.ask({});  // the bench goes before the recorder does
    return interface.error();
  }

  (*bench)->resume(std::move(*past));
  (*bench)->start();
  housekeeping.start();
  signals.async_wait([&](const boost::system::error_code& cancelled, int signal) {
    if (cancelled) return;
    options.log(fmt::format("stopping on {}", signal == SIGTERM ? "SIGTERM" : "SIGINT"));
    heart.stop();
    (*interface)->stop();
    (*bench)->stop();
    context.stop();
  });
  if (has_wal_reset_race(sqlite_version_number())) options.log(wal_reset_race_note());
  options.log(fmt::format("ready: bench {}, store {}, {}", options.bench.name, options.bench.store,
                          (*interface)->where()));
  heart.start();
  check.start();
  context.run();
  delivery.stop();
  recorder.stop(stop_patience);
  return told_of_end(options, recorder.status());
}

}  // namespace nestcup::daemon
