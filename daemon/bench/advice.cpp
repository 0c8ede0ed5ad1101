#include "daemon/bench/advice.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "core/report/words/texts.hpp"

namespace nestcup::daemon {
namespace {

/// A foreperiod that the analysis does not find short (finding short-foreperiod), and a little
/// more.
constexpr double good_foreperiod_s = 50.0;

std::string whole_s(double seconds) {
  return fmt::format("{:.0f}", std::ceil(std::max(seconds, 0.0)));
}

/// Both vessels, as far as they have probes.
std::vector<const VesselFacts*> vessels_of(const AdviceFacts& facts) {
  std::vector<const VesselFacts*> vessels;
  for (const auto* vessel : {&facts.cup, &facts.added}) {
    if (*vessel) vessels.push_back(&**vessel);
  }
  return vessels;
}

Advice before_mixing(const AdviceFacts& facts) {
  if (!facts.cup) return {"no-cup", {}};
  double shortest_s = good_foreperiod_s;
  for (const VesselFacts* vessel : vessels_of(facts)) {
    if (vessel->stale) return {"no-readings", {{"probe", vessel->probe}}};
  }
  for (const VesselFacts* vessel : vessels_of(facts)) {
    if (!vessel->steady_s) return {"not-steady", {{"probe", vessel->probe}}};
    shortest_s = std::min(shortest_s, *vessel->steady_s);
  }
  if (shortest_s < good_foreperiod_s) {
    return {"foreperiod", {{"wait_s", whole_s(good_foreperiod_s - shortest_s)}}};
  }
  if (facts.has_sheet && facts.next_trial.empty()) return {"sheet-done", {}};
  if (!facts.has_sheet) return {"pour", {}};
  return {"pour-trial", {{"trial", facts.next_trial}}};
}

}  // namespace

Advice advice_on(const AdviceFacts& facts) {
  if (facts.state == RunState::watching) return before_mixing(facts);
  if (facts.cup && facts.cup->stale) return {"no-readings", {{"probe", facts.cup->probe}}};
  if (facts.state == RunState::suspected) return {"suspected", {}};
  if (!facts.after_period_s) return {"cover", {}};
  const double left_s = facts.after_period_wanted_s - *facts.after_period_s;
  if (!facts.going_on_pays) return {"enough", {{"left_s", whole_s(left_s)}}};
  return {"after-period", {{"left_s", whole_s(left_s)}}};
}

nlohmann::ordered_json advice_json(const Advice& advice) {
  nlohmann::ordered_json words = nlohmann::ordered_json::object();
  for (const auto& [name, word] : advice.words) words[name] = word;
  return {{"code", advice.code},
          {"words", std::move(words)},
          {"text", Texts(Language::english).fill("advice." + advice.code, advice.words)}};
}

}  // namespace nestcup::daemon
