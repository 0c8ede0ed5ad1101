#include "tools/calibrate/probe_talk.hpp"

#include <fmt/format.h>

#include <chrono>
#include <cmath>
#include <limits>
#include <thread>

#include "core/base/time_text.hpp"
#include "tools/client/client.hpp"

namespace nestcup {
namespace {

using Machine = std::chrono::steady_clock;
constexpr auto look_every = std::chrono::milliseconds(100);
constexpr auto say_every = std::chrono::seconds(5);
constexpr double moved_K = 1.0;

std::optional<double> number_or_nothing(const nlohmann::json& value) {
  if (!value.is_number()) return std::nullopt;
  return value.get<double>();
}

std::string state_text(const std::string& name, const ProbeNow& now) {
  if (!now.shown_degC) return name + ": no reading";
  const std::string drift =
      now.drift_K_per_min ? fmt::format(", drifting {:+.2f} K/min", *now.drift_K_per_min) : "";
  return fmt::format("{}: {:.3f} degC{}{}", name, *now.shown_degC, drift,
                     now.steady_for_s ? ", steady" : ", not steady yet");
}

}  // namespace

Result<ProbeTalk> ProbeTalk::find(const BenchFile& bench, const std::string& name, Say say) {
  const auto status = call(bench.control, "GET", "/v1/status");
  if (!status) {
    Error error = status.error();
    if (error.kind == Fault::unavailable) {
      error.text = fmt::format(
          "no daemon runs at bench {}: calibrating reads the probe through it; "
          "start it with nestcupd --bench {}",
          bench.name, bench.path);
    }
    return error;
  }
  std::string known;
  std::size_t place = 0;
  for (const auto& probe : status->at("probes")) {
    const auto found = probe.at("name").get<std::string>();
    if (found == name) return ProbeTalk(bench.control, name, place, std::move(say));
    known += (known.empty() ? "" : ", ") + found;
    ++place;
  }
  return Error{Fault::no_input,
               fmt::format("bench {} has no probe \"{}\"; it has: {}", bench.name, name, known)};
}

Result<ProbeNow> ProbeTalk::now() const {
  const auto status = call(control_, "GET", "/v1/status");
  if (!status) return status.error();
  const auto& probe = status->at("probes").at(place_);
  ProbeNow now;
  now.wall_us = parse_rfc3339(status->at("clock").at("now").get<std::string>()).value_or(0);
  now.shown_degC = number_or_nothing(probe.at("last_degC"));
  now.steady_for_s = number_or_nothing(probe.at("steady_for_s"));
  now.drift_K_per_min = number_or_nothing(probe.at("drift_K_per_min"));
  return now;
}

Result<ShownReadings> ProbeTalk::readings_after(TimeUs after_us, TimeUs origin_us) const {
  const auto answer = call(control_, "GET",
                           fmt::format("/v1/probes/{}/readings?after_us={}", place_ + 1, after_us));
  if (!answer) return answer.error();
  ShownReadings shown;
  shown.now_us = answer->at("now_us").get<TimeUs>();
  for (const auto& reading : answer->at("readings")) {
    shown.curve.push_back(
        {to_s(reading.at(0).get<TimeUs>() - origin_us), reading.at(1).get<double>()});
  }
  return shown;
}

Result<ProbeNow> ProbeTalk::wait_steady(double patience_s,
                                        std::optional<double> away_from_degC) const {
  std::optional<TimeUs> begun_us;
  Machine::time_point say_at{};
  while (true) {
    const auto now = this->now();
    if (!now) return now;
    if (!begun_us) begun_us = now->wall_us;
    const bool moved = !away_from_degC ||
                       (now->shown_degC && std::abs(*now->shown_degC - *away_from_degC) >= moved_K);
    if (now->shown_degC && now->steady_for_s && moved) return now;
    if (to_s(now->wall_us - *begun_us) > patience_s) {
      return Error{Fault::try_later,
                   fmt::format("{} within {:.0f} s; stir, wait longer (--patience-s), or look why",
                               state_text(name_, *now), patience_s)};
    }
    if (Machine::now() >= say_at) {
      say_(state_text(name_, *now) + (moved ? "" : ", waiting until it is moved"));
      say_at = Machine::now() + say_every;
    }
    std::this_thread::sleep_for(look_every);
  }
}

Result<Curve> ProbeTalk::collect(double average_s, TimeUs& origin_us) const {
  constexpr TimeUs latest_us = std::numeric_limits<TimeUs>::max();
  const auto start = readings_after(latest_us, 0);
  if (!start) return start.error();
  origin_us = start->now_us;
  Machine::time_point say_at = Machine::now() + say_every;
  while (true) {
    auto shown = readings_after(origin_us, origin_us);
    if (!shown) return shown.error();
    const double gone_s = to_s(shown->now_us - origin_us);
    if (gone_s >= average_s) {
      if (shown->curve.size() >= 5) return std::move(shown->curve);
      return Error{Fault::try_later, fmt::format("{}: only {} readings in {:.0f} s; average longer "
                                                 "(--average-s), or look at nestcup status",
                                                 name_, shown->curve.size(), gone_s)};
    }
    if (Machine::now() >= say_at) {
      say_(fmt::format("{}: averaging, {:.0f} of {:.0f} s, {} readings", name_, gone_s, average_s,
                       shown->curve.size()));
      say_at = Machine::now() + say_every;
    }
    std::this_thread::sleep_for(look_every);
  }
}

}  // namespace nestcup
