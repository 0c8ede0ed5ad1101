#include "tools/watch/notices.hpp"

#include <algorithm>

#include "tools/watch/view.hpp"

namespace nestcup::watch {
namespace {

using Json = nlohmann::json;
using OrderedJson = nlohmann::ordered_json;

/// "watching", "suspected", "main", "after"
std::string period_word(const Json& run) {
  const auto state = run.at("state").get<std::string>();
  if (state != "running") return state;
  return run.at("settled_us").is_null() ? "main" : "after";
}

void add_link(std::vector<Notice>& notices, const Snapshot& before, const Snapshot& after,
              const Words& words) {
  if (before.linked == after.linked) return;
  OrderedJson json{{"event", "link"}, {"linked", after.linked}};
  if (!after.linked) json["reason"] = after.trouble;
  const std::string text = words.text(after.linked ? "live_link.live" : "live_link.lost");
  notices.push_back(
      {std::move(json), after.linked ? text : text + " (" + words.shown(after.trouble) + ")"});
}

void add_run(std::vector<Notice>& notices, const Json& before, const Json& after,
             const Words& words) {
  if (const auto period = period_word(after); period != period_word(before)) {
    notices.push_back({{{"event", "period"}, {"period", period}}, period_text(after, words)});
  }
  const Json& last = after.at("last_finished");
  if (last.is_null() || last == before.at("last_finished")) return;
  const int number = last.at("number").get<int>();
  notices.push_back({{{"event", "stored"}, {"run", number}, {"id", last.at("id")}},
                     words.text("live_run.last", {{"number", std::to_string(number)}})});
}

bool is_steady(const Json& probe) {
  return !probe.at("steady_since_us").is_null();
}

void add_probe(std::vector<Notice>& notices, const Json& before, const Json& after,
               const Words& words) {
  const auto name = after.at("name").get<std::string>();
  if (const Json& health = after.at("health"); health != before.at("health")) {
    const std::string word = words.text("live_health." + health.get<std::string>());
    notices.push_back({{{"event", "health"}, {"probe", name}, {"health", health}},
                       words.text("watch.health", {{"probe", name}, {"health", word}})});
  }
  if (const bool steady = is_steady(after); steady != is_steady(before)) {
    notices.push_back({{{"event", "steady"}, {"probe", name}, {"steady", steady}},
                       words.text(steady ? "watch.steady" : "watch.moving", {{"probe", name}})});
  }
}

void add_advice(std::vector<Notice>& notices, const Json& before, const Json& after,
                const Words& words) {
  const Json& advice = after.at("advice");
  if (advice.at("code") == before.at("advice").at("code")) return;
  notices.push_back({{{"event", "advice"}, {"code", advice["code"]}, {"text", advice.at("text")}},
                     advice_text(advice, words)});
}

void add_problems(std::vector<Notice>& notices, const Json& before, const Json& after,
                  const Words& words) {
  const Json& known = before.at("problems");
  for (const Json& problem : after.at("problems")) {
    if (std::find(known.begin(), known.end(), problem) != known.end()) continue;
    notices.push_back({{{"event", "problem"}, {"text", problem}},
                       words.text("watch.problem", {{"text", problem.get<std::string>()}})});
  }
}

}  // namespace

std::vector<Notice> notices_between(const Snapshot& before, const Snapshot& after,
                                    const Words& words) {
  std::vector<Notice> notices;
  add_link(notices, before, after, words);
  const Json &old = before.status, &now = after.status;
  add_run(notices, old.at("run"), now.at("run"), words);
  const auto& probes = now.at("probes");
  for (std::size_t i = 0; i < probes.size() && i < old.at("probes").size(); ++i) {
    if (old["probes"][i].at("name") != probes[i].at("name")) break;  // another bench file
    add_probe(notices, old["probes"][i], probes[i], words);
  }
  add_advice(notices, old, now, words);
  add_problems(notices, old, now, words);
  return notices;
}

std::string state_line(const Snapshot& snapshot, const Words& words) {
  const Json& status = snapshot.status;
  const TimeUs now_us = snapshot.now_us();
  std::string text;
  for (std::size_t i = 0; i < status.at("probes").size(); ++i) {
    const ProbeView probe = probe_view(status, i, words, snapshot.known_until_us());
    const Json& last = status["probes"][i].at("last_degC");
    text += probe.title + " ";
    if (!last.is_null()) text += words.temperature(last.get<double>()) + ", ";
    text += probe.state + "; ";
  }
  text += period_text(status.at("run"), words);
  if (const auto mixing_us = mixing_us_of(status)) {
    text += "; " + words.text("live_run.since_mixing") + " " +
            duration_text(to_s(now_us - *mixing_us)) + "; " + words.text("live_run.rise") + ": " +
            rise_text(status["run"], words);
  }
  return text;
}

OrderedJson state_json(const Snapshot& snapshot) {
  const Json& status = snapshot.status;
  const Json& run = status.at("run");
  OrderedJson json{{"bench", status.at("bench")}, {"linked", snapshot.linked}};
  json["probes"] = OrderedJson::array();
  for (const Json& probe : status.at("probes")) {
    json["probes"].push_back({{"name", probe.at("name")},
                              {"role", probe.at("role")},
                              {"temperature_degC", probe.at("last_degC")},
                              {"steady_for_s", probe.at("steady_for_s")},
                              {"drift_K_per_min", probe.at("drift_K_per_min")},
                              {"health", probe.at("health")}});
  }
  const auto mixing_us = mixing_us_of(status);
  const TimeUs told_us = status.at("clock").at("now_us").get<TimeUs>();
  const Json& provisional = run.at("provisional");
  json["run"] = {{"period", period_word(run)},
                 {"since_mixing_s",
                  mixing_us ? OrderedJson(to_s(told_us - *mixing_us)) : OrderedJson(nullptr)},
                 {"after_period_s", run.at("after_period_s")},
                 {"corrected_rise_K", provisional.is_object()
                                          ? provisional.value("corrected_rise_K", Json(nullptr))
                                          : Json(nullptr)}};
  json["advice"] = {{"code", status.at("advice").at("code")},
                    {"text", status["advice"].at("text")}};
  json["well"] = status.at("well");
  json["problems"] = status.at("problems");
  return json;
}

}  // namespace nestcup::watch
