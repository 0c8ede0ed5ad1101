// What the terminal knows of a bench at one moment.
#pragma once

#include <chrono>
#include <nlohmann/json.hpp>
#include <string>
#include <vector>

#include "tools/watch/series.hpp"

namespace nestcup::watch {

struct Snapshot {
  nlohmann::json status;       ///< as the daemon answered last
  std::vector<Series> series;  ///< by probe, in the status' order
  std::chrono::steady_clock::time_point told_at;
  bool linked = false;  ///< the last question was answered
  std::string trouble;  ///< why it was not

  /// Up to when the bench is known, on its axis: what holds may have ended since.
  [[nodiscard]] TimeUs known_until_us() const {
    return linked ? now_us() : status.at("clock").at("now_us").get<TimeUs>();
  }
  /// Now on the bench's axis, as far as the last answer tells.
  [[nodiscard]] TimeUs now_us() const {
    const std::chrono::duration<double> passed = std::chrono::steady_clock::now() - told_at;
    const auto& clock = status.at("clock");
    return clock.at("now_us").get<TimeUs>() +
           to_us(passed.count() * clock.at("speed").get<double>());
  }
};

/// The place of the first probe with this role; nothing where there is none.
[[nodiscard]] inline std::optional<std::size_t> probe_with(const nlohmann::json& status,
                                                           std::string_view role) {
  const auto& probes = status.at("probes");
  for (std::size_t i = 0; i < probes.size(); ++i) {
    if (probes[i].at("role") == role) return i;
  }
  return std::nullopt;
}

/// When the mixing was, on the bench's axis, as well as it is known; nothing while there is no run.
[[nodiscard]] inline std::optional<TimeUs> mixing_us_of(const nlohmann::json& status) {
  const auto& run = status.at("run");
  if (run.at("state") == "watching") return std::nullopt;
  const auto& provisional = run.at("provisional");
  if (provisional.is_object() && provisional.contains("mixing_us")) {
    return provisional["mixing_us"].get<TimeUs>();
  }
  if (run.at("onset_us").is_null()) return std::nullopt;
  return run["onset_us"].get<TimeUs>();
}

}  // namespace nestcup::watch
