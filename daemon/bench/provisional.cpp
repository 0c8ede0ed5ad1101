#include "daemon/bench/provisional.hpp"

#include <algorithm>
#include <boost/asio/post.hpp>
#include <utility>

#include "core/analysis/run/run_analysis.hpp"

namespace nestcup::daemon {
namespace {

using Json = nlohmann::ordered_json;

/// On the bench's clock: the uncertainty changes slowly, and a look takes some processor time.
constexpr TimeUs between_looks_us = 3 * us_per_s;
/// Over so much more after period the gain of going on is measured.
constexpr double gain_over_s = 30.0;
constexpr double worth_while_per_min = 0.05;
constexpr int line_points = 16;

BenchLine line_between(double from_s, double to_s, TimeUs first_us, const auto& at) {
  BenchLine line;
  for (int i = 0; i < line_points; ++i) {
    const double time_s = from_s + (to_s - from_s) * i / (line_points - 1);
    line.time_us.push_back(first_us + to_us(time_s));
    line.temperature_degC.push_back(at(time_s));
  }
  return line;
}

bool pays_to_go_on(const Provisional& now, const std::optional<Provisional>& before) {
  if (!now.corrected_rise_K || !before || !before->corrected_rise_K) return true;
  const double more_s = now.after_period_s - before->after_period_s;
  if (more_s < gain_over_s) return before->going_on_pays;
  const double gain = 1.0 - now.corrected_rise_K->u / before->corrected_rise_K->u;
  return gain * 60.0 / more_s >= worth_while_per_min;
}

Json line_json(const BenchLine& line) {
  return {{"time_us", line.time_us}, {"temperature_degC", line.temperature_degC}};
}

}  // namespace

Provisional provisional_of(const FinishedRun& run, TimeUs onset_us,
                           const std::vector<ProbeRole>& roles,
                           const std::optional<Provisional>& before) {
  const TimeUs first_us = run.readings.front().time_us;
  const RunAnalysis analysis = analyse_run(run_input(run, roles));
  Provisional found;
  found.onset_us = onset_us;
  found.until_us = run.readings.back().time_us;
  found.after_period_s = analysis.after.end_s - analysis.after.start_s;
  found.mixing_us = first_us + to_us(analysis.mixing_time_s.value);
  found.equal_area_us = first_us + to_us(analysis.equal_area_s);
  if (!analysis.usable() || !analysis.leak) return found;
  const HeatLeak& leak = *analysis.leak;
  found.corrected_rise_K = Uncertain{analysis.rise.value_K, analysis.rise.u_K, analysis.rise.dof};
  found.fore_line = line_between(analysis.fore.start_s, analysis.equal_area_s, first_us,
                                 [&](double time_s) { return leak.fore_at(time_s); });
  found.after_line = line_between(analysis.equal_area_s, analysis.after.end_s, first_us,
                                  [&](double time_s) { return leak.after_at(time_s); });
  found.going_on_pays = pays_to_go_on(found, before);
  return found;
}

Json provisional_json(const Provisional& provisional) {
  Json rise = nullptr;
  if (const auto& found = provisional.corrected_rise_K) {
    rise = {{"value", found->value}, {"u", found->u}};
    if (found->dof) rise["dof"] = *found->dof;
  }
  return {{"until_us", provisional.until_us},
          {"after_period_s", provisional.after_period_s},
          {"corrected_rise_K", std::move(rise)},
          {"mixing_us", provisional.mixing_us},
          {"equal_area_us", provisional.equal_area_us},
          {"fore_line", line_json(provisional.fore_line)},
          {"after_line", line_json(provisional.after_line)},
          {"going_on_pays", provisional.going_on_pays}};
}

ProvisionalWatch::ProvisionalWatch(RunWatch& watch, std::vector<ProbeRole> roles,
                                   std::function<void()> told)
    : watch_(watch), roles_(std::move(roles)), told_(std::move(told)) {}

void ProvisionalWatch::look(TimeUs now_us) {
  const FollowedRun run = watch_.now();
  const std::lock_guard lock(mutex_);
  if (run.state != RunState::running || (latest_ && latest_->onset_us != run.onset_us)) {
    latest_.reset();
    earlier_.reset();
  }
  if (run.state != RunState::running || !run.settled_us) return;
  if (looking_ || now_us < next_look_us_) return;
  next_look_us_ = now_us + between_looks_us;
  looking_ = true;
  watch_.post([this, onset_us = *run.onset_us](RunFollower& follower) {
    // A copy is led to its end, so that it ends in just the way the run would.
    RunFollower ended = follower;
    auto run = ended.finish() ? ended.take_finished() : std::nullopt;
    boost::asio::post(worker_, [this, onset_us, run = std::move(run)] {
      if (run) take(*run, onset_us);
      const std::lock_guard again(mutex_);
      looking_ = false;
    });
  });
}

void ProvisionalWatch::take(const FinishedRun& run, TimeUs onset_us) {
  const auto before = [&] {
    const std::lock_guard lock(mutex_);
    return earlier_;
  }();
  Provisional found = provisional_of(run, onset_us, roles_, before);
  {
    const std::lock_guard lock(mutex_);
    if (!earlier_ || found.after_period_s - earlier_->after_period_s >= gain_over_s) {
      earlier_ = found;
    }
    latest_ = std::move(found);
  }
  told_();
}

std::optional<Provisional> ProvisionalWatch::now() const {
  const std::lock_guard lock(mutex_);
  const FollowedRun run = watch_.now();
  if (run.state != RunState::running || !latest_ || latest_->onset_us != run.onset_us) {
    return std::nullopt;
  }
  return latest_;
}

void ProvisionalWatch::stop() {
  worker_.join();
}

}  // namespace nestcup::daemon
