#include "tools/watch/view.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace nestcup::watch {
namespace {

using Json = nlohmann::json;
using cli::Tone;

std::string title_of(const Json& status, const Json& probe, const Words& words) {
  const auto& probes = status.at("probes");
  const auto alike = std::count_if(probes.begin(), probes.end(), [&](const Json& one) {
    return one.at("role") == probe.at("role");
  });
  if (alike > 1) return words.shown(probe.at("name").get<std::string>());
  return words.text("live_probe." + probe.at("role").get<std::string>());
}

std::pair<std::string, Tone> state_of(const Json& probe, const Words& words, TimeUs now_us) {
  if (probe.at("stale").get<bool>()) {
    const Json& age = probe.at("age_s");
    if (age.is_null()) return {words.text("live_probe.stale"), Tone::bad};
    const std::string time = duration_text(age.get<double>());
    return {words.text("live_probe.stale_for", {{"time", time}}), Tone::bad};
  }
  if (probe.at("health") == "frozen") return {words.text("live_probe.frozen"), Tone::bad};
  if (const Json& since = probe.at("steady_since_us"); !since.is_null()) {
    const std::string time = duration_text(to_s(now_us - since.get<TimeUs>()));
    return {words.text("live_probe.steady_for", {{"time", time}}), Tone::good};
  }
  const Json& drift = probe.at("drift_K_per_min");
  if (drift.is_null()) return {words.text("live_probe.settling"), Tone::warning};
  const double K_per_min = drift.get<double>();
  const std::string sign = K_per_min > 0.0 ? "+" : "";
  const std::string text = sign + words.number(K_per_min, 2) + " K/min";
  return {words.text("live_probe.drifting", {{"drift", text}}), Tone::warning};
}

std::optional<double> last_degC(const Json& probe) {
  const Json& last = probe.at("last_degC");
  return last.is_null() ? std::nullopt : std::optional(last.get<double>());
}

std::vector<std::string> timed_texts(const std::vector<TimedReading>& readings,
                                     const Words& words) {
  std::vector<std::string> texts;
  for (const TimedReading& one : readings) {
    texts.push_back(duration_text(one.after_s) + " " + words.number(one.temperature_degC, 2));
  }
  return texts;
}

std::string next_text(TimeUs mixing_us, TimeUs now_us, const Words& words) {
  const auto next_s = next_timed_s(mixing_us, now_us);
  if (!next_s) return "";
  const double wait_s = std::ceil(*next_s - to_s(now_us - mixing_us));
  return words.text("live_run.next_reading") + " " +
         words.text("live_run.next_reading_in",
                    {{"at", duration_text(*next_s)}, {"wait", fmt::format("{:.0f}", wait_s)}});
}

RunView run_view(const Snapshot& snapshot, const Words& words, TimeUs now_us) {
  const Json& run = snapshot.status.at("run");
  RunView view;
  view.period = period_text(run, words);
  const auto mixing_us = mixing_us_of(snapshot.status);
  if (!mixing_us) return view;
  view.since = words.text("live_run.since_mixing") + " " + duration_text(to_s(now_us - *mixing_us));
  view.next = next_text(*mixing_us, now_us, words);
  view.rise = words.text("live_run.rise") + ": " + rise_text(run, words);
  const Json& provisional = run.at("provisional");
  if (provisional.is_object() && provisional.value("corrected_rise_K", Json()).is_object()) {
    const bool pays = provisional.at("going_on_pays").get<bool>();
    view.surer = words.text(pays ? "live_run.going_on_pays" : "live_run.going_on_idle");
  }
  if (const auto cup = probe_with(snapshot.status, "cup"); cup && *cup < snapshot.series.size()) {
    view.timed = timed_texts(timed_readings(snapshot.series[*cup], *mixing_us, now_us), words);
  }
  return view;
}

std::string trial_text(const Json& sheet, const Words& words) {
  if (sheet.is_null()) return "";
  const Json& next = sheet.at("next_trial");
  if (next.is_null()) return words.text("live_trials.done");
  return words.text("watch.trial", {{"trial", next.at("name").get<std::string>()},
                                    {"number", std::to_string(next.at("number").get<int>())}});
}

/// How lines are told apart without colours.
PlotCurve style_of(const std::string& role) {
  if (role == "cup") return {{}, 1, '*'};
  if (role == "added") return {{}, 2, '+'};
  return {{}, 4, '.'};
}

PlotCurve curve_of(const Series& series, const std::string& role, TimeUs from_us, TimeUs now_us) {
  PlotCurve curve = style_of(role);
  for (std::size_t i = series.from(from_us); i < series.size(); ++i) {
    const bool begins = curve.parts.empty() || series.time_us(i) - series.time_us(i - 1) > hole_us;
    if (begins) curve.parts.emplace_back();
    curve.parts.back().push_back(
        {to_s(series.time_us(i) - now_us) / 60.0, series.temperature_degC(i)});
  }
  return curve;
}

/// The foreperiod carried on, or the after period carried back.
PlotCurve line_of(const Json& line, TimeUs now_us) {
  PlotCurve curve{{}, 3, '-'};
  const auto times = line.at("time_us").get<std::vector<TimeUs>>();
  const auto degC = line.at("temperature_degC").get<std::vector<double>>();
  curve.parts.emplace_back();
  for (std::size_t i = 0; i < std::min(times.size(), degC.size()); ++i) {
    curve.parts.back().push_back({to_s(times[i] - now_us) / 60.0, degC[i]});
  }
  return curve;
}

std::vector<PlotCurve> curves_of(const Snapshot& snapshot, double span_min, TimeUs now_us) {
  std::vector<PlotCurve> curves;
  const auto& probes = snapshot.status.at("probes");
  const TimeUs from_us = now_us - to_us(span_min * 60.0);
  for (std::size_t i = 0; i < std::min(probes.size(), snapshot.series.size()); ++i) {
    const auto role = probes[i].at("role").get<std::string>();
    curves.push_back(curve_of(snapshot.series[i], role, from_us, now_us));
  }
  const Json& provisional = snapshot.status.at("run").at("provisional");
  for (const char* key : {"fore_line", "after_line"}) {
    if (!provisional.is_object() || !provisional.contains(key)) continue;
    curves.push_back(line_of(provisional[key], now_us));
  }
  return curves;
}

/// From the first reading on, but no shorter than a few minutes.
double shown_min(const std::vector<PlotCurve>& curves, double span_min) {
  constexpr double shortest_min = 3.0;
  double oldest_min = shortest_min;
  for (const PlotCurve& curve : curves) {
    if (curve.parts.empty() || curve.parts.front().empty()) continue;
    oldest_min = std::max(oldest_min, -curve.parts.front().front().minute);
  }
  return std::min(span_min, std::ceil(oldest_min));
}

}  // namespace

std::string advice_text(const Json& advice, const Words& words) {
  const std::string key = "advice." + advice.at("code").get<std::string>();
  const std::string english = advice.at("text").get<std::string>();
  if (!words.has(key)) return words.shown(english);  // of a newer daemon
  std::vector<std::string> names;
  std::vector<TextValue> values;
  names.reserve(advice.at("words").size());
  for (const auto& [name, value] : advice["words"].items()) {
    names.push_back(name);
    values.emplace_back(names.back().c_str(), value.get<std::string>());
  }
  try {
    return words.text(key, values);
  } catch (const fmt::format_error&) {
    return words.shown(english);  // the other's text has other words
  }
}

std::string period_text(const Json& run, const Words& words) {
  const auto state = run.at("state").get<std::string>();
  if (state != "running") return words.text("live_run." + state);
  return words.text(run.at("settled_us").is_null() ? "live_run.mixing" : "live_run.after");
}

std::string rise_text(const Json& run, const Words& words) {
  const Json& provisional = run.at("provisional");
  if (!provisional.is_object()) return words.text("live_run.rise_wait");
  if (provisional.contains("hidden")) return words.text("live_run.rise_hidden");
  const Json& rise = provisional.at("corrected_rise_K");
  if (!rise.is_object()) return words.text("live_run.rise_wait");
  return words.measured(rise.at("value").get<double>(), rise.at("u").get<double>(), "K");
}

ProbeView probe_view(const Json& status, std::size_t place, const Words& words, TimeUs now_us) {
  const Json& probe = status.at("probes").at(place);
  auto [state, tone] = state_of(probe, words, now_us);
  return {title_of(status, probe, words), words.number(last_degC(probe), 2), std::move(state),
          tone};
}

BenchView view_of(const Snapshot& snapshot, const Words& words, double span_min) {
  const Json& status = snapshot.status;
  const TimeUs now_us = snapshot.now_us();
  BenchView view;
  view.title = words.text("live.title", {{"bench", status.at("bench").get<std::string>()}});
  view.link = words.text(snapshot.linked ? "live_link.live" : "live_link.lost");
  view.link_tone = snapshot.linked ? Tone::good : Tone::bad;
  view.trial = trial_text(status.at("sheet"), words);
  view.advice = advice_text(status.at("advice"), words);
  for (const char* role : {"cup", "added", "room"}) {
    for (std::size_t i = 0; i < status.at("probes").size(); ++i) {
      if (status["probes"][i].at("role") != role) continue;
      view.probes.push_back(probe_view(status, i, words, snapshot.known_until_us()));
    }
  }
  view.run = run_view(snapshot, words, now_us);
  for (const auto& problem : status.at("problems")) {
    view.problems.push_back(words.shown(problem.get<std::string>()));
  }
  view.curves = curves_of(snapshot, span_min, now_us);
  view.curves_min = shown_min(view.curves, span_min);
  return view;
}

}  // namespace nestcup::watch
