// How a bench takes a calibration while it runs.
#include <fmt/format.h>

#include <algorithm>
#include <boost/asio/post.hpp>

#include "core/record/calibration_json.hpp"
#include "daemon/bench/bench.hpp"
#include "daemon/store/bench_facts.hpp"

namespace nestcup::daemon {
namespace {

using Kind = StoredCalibration::Kind;

bool changes_readings(const StoredCalibration& row) {
  return row.kind == Kind::correction || row.kind == Kind::none || row.kind == Kind::again;
}

/// Once more after a failed write must not add a row twice.
Result<void> store_rows(Store& store, const std::vector<StoredCalibration>& rows,
                        const std::vector<StoredProbe>& probes) {
  const auto there = store.calibrations();
  if (!there) return there.error();
  const int newest = there->empty() ? 0 : there->back().number;
  for (const StoredCalibration& row : rows) {
    if (row.number <= newest) continue;
    if (const auto number = store.add_calibration(row); !number) return number.error();
  }
  // Readings handed over from here on belong to the probes' new facts.
  if (const auto ids = store.register_probes(probes); !ids) return ids.error();
  return {};
}

}  // namespace

Result<void> Bench::hold(std::vector<StoredCalibration>& rows, bool drop_run) {
  const bool changes = std::any_of(rows.begin(), rows.end(), changes_readings);
  if (changes && !drop_run && run().state != RunState::watching) {
    return Error{Fault::try_later,
                 "a run is under way, in which a correction would put a step; wait for its end or "
                 "finish it (nestcup finish), then calibrate"};
  }
  for (StoredCalibration& row : rows) {
    row.wall_us = parts_.clock.wall_us();
    auto added = calibrations_.add(row);
    if (!added) return added.error();  // of a request only the first row can name another
    row = std::move(added).value();
    if (!changes_readings(row)) continue;
    add_event("calibration", {{"probe", row.probe}, {"number", row.number}});
  }
  if (!changes) return {};
  for (DriftWatch& drift : drifts_) drift = DriftWatch{};
  watch_.post([fresh = fresh_follower()](RunFollower& follower) { follower = fresh; });
  return {};
}

void Bench::calibrate(std::vector<StoredCalibration> rows, bool drop_run, Calibrated done) {
  if (auto held = hold(rows, drop_run); !held) return done(held.error());
  const auto probes = stored_probes(parts_.file, calibrations_.held());
  parts_.recorder.post([this, rows = std::move(rows), probes, done](Store& store) -> Result<void> {
    const auto stored = store_rows(store, rows, probes);
    if (!stored && is_store_failure(stored.error())) return stored;  // tried again
    if (!stored) {
      boost::asio::post(parts_.context, [this, rows] {
        for (const StoredCalibration& row : rows) calibrations_.take_back(row.number);
      });
      done(stored.error());
      return stored;
    }
    for (const StoredCalibration& row : rows) {
      parts_.log(fmt::format("calibration {} of probe {} stored", row.number, row.probe));
    }
    done(rows);
    return {};
  });
}

}  // namespace nestcup::daemon
