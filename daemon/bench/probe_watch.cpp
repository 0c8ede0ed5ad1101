#include "daemon/bench/probe_watch.hpp"

#include <fmt/format.h>

#include <utility>

namespace nestcup::daemon {

std::string_view health_name(ProbeHealth health) {
  constexpr std::array<std::string_view, 4> names{"starting", "well", "stale", "frozen"};
  return names.at(static_cast<std::size_t>(health));
}

std::string faults_since(const drivers::FaultCounts& before, const drivers::FaultCounts& now) {
  std::string text;
  for (std::size_t i = 0; i < drivers::line_fault_kinds; ++i) {
    const auto kind = static_cast<drivers::LineFault>(i);
    const std::uint64_t more = now.of(kind) - before.of(kind);
    if (more == 0) continue;
    text += fmt::format("{}{} {}", text.empty() ? "" : ", ", more, drivers::fault_name(kind));
  }
  return text;
}

ProbeWatch::ProbeWatch(std::vector<std::string> names, double stale_after_s, TimeUs now_us)
    : names_(std::move(names)),
      stale_after_s_(stale_after_s),
      since_us_(now_us),
      states_(names_.size()) {}

bool ProbeWatch::is_stale(const drivers::ProbeCounts& counts, TimeUs now_us) const {
  return !counts.last_us || to_s(now_us - *counts.last_us) > stale_after_s_;
}

ProbeHealth ProbeWatch::health_of(const drivers::ProbeCounts& counts, TimeUs now_us) const {
  if (is_stale(counts, now_us)) {
    const bool starts = !counts.last_us && to_s(now_us - since_us_) <= stale_after_s_;
    return starts ? ProbeHealth::starting : ProbeHealth::stale;
  }
  return counts.same.is_frozen() ? ProbeHealth::frozen : ProbeHealth::well;
}

std::vector<ProbeNews> ProbeWatch::look(const std::vector<drivers::ProbeCounts>& probes,
                                        TimeUs now_us) {
  std::vector<ProbeNews> news;
  for (std::size_t i = 0; i < states_.size(); ++i) {
    const drivers::ProbeCounts& counts = probes[i];
    State& state = states_[i];
    const ProbeHealth health = health_of(counts, now_us);
    const ProbeHealth before = std::exchange(state.health, health);
    const std::string faults = faults_since(state.faults, counts.faults);
    if (counts.readings != state.readings) {
      state.readings = counts.readings;
      state.faults = counts.faults;
    }
    if (health == before || health == ProbeHealth::starting) continue;
    std::string text = fmt::format("probe {}: ", names_[i]);
    if (health == ProbeHealth::stale) {
      text += fmt::format("no reading for {:g} s{}{}", stale_after_s_,
                          faults.empty() ? "" : ", but faults: ", faults);
    } else if (health == ProbeHealth::frozen) {
      text += fmt::format(
          "{} readings in a row are the same to the last digit, which its noise "
          "does not allow: the board repeats its last value",
          counts.same.in_a_row());
    } else {
      text += before == ProbeHealth::starting ? "reads" : "reads again";
    }
    news.push_back({i, health, std::move(text)});
  }
  return news;
}

}  // namespace nestcup::daemon
