#include "tools/watch/feed.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <chrono>

#include "tools/client/client.hpp"

namespace nestcup::watch {
namespace {

constexpr auto pause = std::chrono::milliseconds(400);
/// A daemon that does not answer within this is gone as far as a watcher is concerned.
constexpr auto patience = std::chrono::seconds(3);
constexpr TimeUs span_us = static_cast<TimeUs>(longest_span_min) * 60 * us_per_s;
constexpr TimeUs slower_us = 30 * us_per_s;
/// Of the first look at an hour, each probe: more than a screen has columns of dots.
constexpr int first_points = 2000;
constexpr int most_points = 20'000;

std::vector<std::string> names_in(const nlohmann::json& status) {
  std::vector<std::string> names;
  for (const auto& probe : status.at("probes")) names.push_back(probe.at("name"));
  return names;
}

/// From where on readings may be missing: some probes are slower than others.
std::optional<TimeUs> known_until(const std::vector<Series>& series) {
  std::optional<TimeUs> newest;
  for (const Series& one : series) {
    if (const auto last = one.last_us()) newest = std::max(*last, newest.value_or(*last));
  }
  if (newest) *newest -= slower_us;
  return newest;
}

}  // namespace

Result<void> Feed::ask_readings(Snapshot& next) const {
  const auto now_us = next.status.at("clock").at("now_us").get<TimeUs>();
  const TimeUs earliest_us = std::max<TimeUs>(now_us - span_us, 0);
  const auto known = known_until(next.series);
  const TimeUs from_us = std::clamp(known.value_or(earliest_us), earliest_us, now_us);
  const auto answer = call(socket_path_, "GET",
                           fmt::format("/v1/readings?from_us={}&to_us={}&points={}", from_us,
                                       now_us + us_per_s, known ? most_points : first_points),
                           std::nullopt, patience);
  if (!answer) return answer.error();
  const auto& probes = answer->at("probes");
  for (std::size_t i = 0; i < std::min(probes.size(), next.series.size()); ++i) {
    next.series[i].add(probes[i].at("time_us").get<std::vector<TimeUs>>(),
                       probes[i].at("temperature_degC").get<std::vector<double>>());
    next.series[i].drop_before(earliest_us);
  }
  return {};
}

Result<void> Feed::ask(Snapshot& next) const {
  auto status = call(socket_path_, "GET", "/v1/status", std::nullopt, patience);
  if (!status) return status.error();
  try {
    const auto names = names_in(*status);
    // Another daemon may have other probes.
    if (next.status.is_null() || names_in(next.status) != names) {
      next.series.assign(names.size(), {});
    }
    next.status = std::move(*status);
    next.told_at = std::chrono::steady_clock::now();
    return ask_readings(next);
  } catch (const nlohmann::json::exception& odd) {
    return Error{Fault::bad_data,
                 fmt::format("the daemon's answer cannot be read: {}", odd.what())};
  }
}

Result<void> Feed::begin() {
  auto first = std::make_shared<Snapshot>();
  if (auto asked = ask(*first); !asked) return asked;
  first->linked = true;
  const std::lock_guard lock(mutex_);
  latest_ = std::move(first);
  return {};
}

void Feed::start() {
  thread_ = std::thread([this] { run(); });
}

void Feed::run() {
  std::unique_lock lock(mutex_);
  while (!ended_.wait_for(lock, pause, [this] { return stopping_; })) {
    auto next = std::make_shared<Snapshot>(*latest_);
    lock.unlock();
    const auto asked = ask(*next);
    next->linked = asked.ok();
    next->trouble = asked ? "" : asked.error().text;
    lock.lock();
    latest_ = std::move(next);
  }
}

void Feed::stop() {
  {
    const std::lock_guard lock(mutex_);
    stopping_ = true;
  }
  ended_.notify_all();
  if (thread_.joinable()) thread_.join();
}

std::shared_ptr<const Snapshot> Feed::now() const {
  const std::lock_guard lock(mutex_);
  return latest_;
}

}  // namespace nestcup::watch
