// How a bench leads its runs to the store, and what a person says to them.
#include <fmt/format.h>

#include <boost/asio/post.hpp>
#include <chrono>

#include "core/base/run_id.hpp"
#include "core/base/uncertain_text.hpp"
#include "core/record/assign.hpp"
#include "core/record/trial_of_run.hpp"
#include "daemon/bench/bench.hpp"
#include "daemon/store/bench_facts.hpp"

namespace nestcup::daemon {
namespace {

// With what a reading may wait before (drivers/line/serial_line.cpp): under a quarter of a second.
constexpr auto pace_in_run = std::chrono::milliseconds(160);
constexpr auto pace_watching = std::chrono::milliseconds(2000);

}  // namespace

void Bench::on_state(const FollowedRun& run) {
  const bool withdrawn = run.state == RunState::watching && !run.last_withdrawal.empty();
  parts_.log(fmt::format("run: {}{}{}", run_state_name(run.state),
                         withdrawn ? ", onset withdrawn: " : "",
                         withdrawn ? run.last_withdrawal : ""));
  parts_.recorder.set_pace(run.state == RunState::watching ? pace_watching : pace_in_run);
  tell_change();
}

RecordContext Bench::context_of(const FinishedRun& run) const {
  RecordContext context;
  context.source = "bench";
  context.bench = parts_.file.name;
  if (const auto sheet = trials_.sheet()) context.sheet = sheet_facts(*sheet);
  context.probes = record_probes(parts_.file, calibrations_.held());
  context.started_wall_us = run.readings.front().time_us + wall_offset_us_;
  context.clock_synchronised = parts_.clock.synchronised();
  return context;
}

void Bench::analyse(FinishedRun run) {
  const auto ended = std::chrono::steady_clock::now();
  const RecordContext context = context_of(run);
  const TimeUs wall_us = parts_.clock.wall_us();
  const std::string id = new_run_id(wall_us);
  boost::asio::post(worker_, [this, run = std::move(run), context, wall_us, id, ended] {
    const TimeUs first_us = run.readings.front().time_us;
    const MadeRecord made = make_record(run, roles_, context, id, first_us);
    const auto& rise = made.analysis.rise;
    const std::string said = made.analysis.usable()
                                 ? uncertain_text({rise.value_K, rise.u_K, std::nullopt}, "K")
                                 : "unusable";
    const StoredRun stored{id, 0, first_us, run.readings.back().time_us, 1, "finished", ""};
    const RevisionNote note{"finished", "", "bench", wall_us};
    parts_.recorder.post(
        [this, stored, record = made.record, note, said, ended](Store& store) -> Result<void> {
          const auto kept = trials_.add_run(store, stored, record, note);
          if (!kept) {
            if (!is_store_failure(kept.error())) {
              parts_.log.error("run not stored: " + kept.error().text);
            }
            return kept.error();
          }
          const std::chrono::duration<double, std::milli> took =
              std::chrono::steady_clock::now() - ended;
          tell_finished(*kept, said, took.count());
          record_stored();
          return {};
        });
  });
}

Result<void> Bench::use_sheet(Sheet sheet, const Store& store) {
  const auto before = trials_.sheet();
  const bool heats = has_heater(sheet);
  if (before && heats != has_heater(*before)) {
    // The run under way is judged with a heater or without one, from its beginning to its end.
    if (run().state != RunState::watching) {
      return Error{Fault::try_later,
                   "a run is under way, and only one of the two sheets has a trial with a heater; "
                   "wait for its end or finish it (nestcup finish)"};
    }
    watch_.post([heats](RunFollower& follower) { follower.expect_heater(heats); });
  }
  trials_.use(std::move(sheet), store);
  return {};
}

void Bench::tell_finished(const StoredRun& run, const std::string& said, double took_ms) {
  std::string trial;
  if (trials_.sheet()) trial = fmt::format("run {} is {}", run.number, trial_words(run));
  boost::asio::post(
      parts_.context, [this, said, trial, last = LastRun{run.id, run.number, took_ms}] {
        last_run_ = last;
        parts_.log(fmt::format("run {} finished: corrected rise {}", last.number, said));
        if (!trial.empty()) parts_.log(trial);
        listener_.on_change();
      });
}

void Bench::record_stored() {
  ++record_changes_;
  parts_.record_stored();
  tell_change();
}

void Bench::mark(TimeUs time_us, const std::string& who, FoundBy how) {
  watch_.post([time_us, how](RunFollower& follower) { follower.mark(time_us, how); });
  add_event_at(time_us, "mark", {{"who", who}, {"how", found_by_name(how)}});
  parts_.log(fmt::format("marked by {}", who));
}

void Bench::finish(const std::string& who, std::function<void(const Result<void>&)> done) {
  const TimeUs now_us = parts_.clock.now_us();
  watch_.post([this, now_us, who, done = std::move(done)](RunFollower& follower) {
    if (!follower.finish()) {
      return done(Error{Fault::try_later, "no run is under way; nothing to finish"});
    }
    add_event_at(now_us, "finish", {{"who", who}});
    parts_.log(fmt::format("finish asked by {}", who));
    done({});
  });
}

}  // namespace nestcup::daemon
