#include "core/classroom/reason.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <map>
#include <set>

namespace nestcup {

namespace {

constexpr std::size_t most_explanations = 3;
/// A cup that drifts so much lower than the others loses heat that no wall leaks: water evaporates.
constexpr double clearly_lower_K = 1.0;

std::vector<std::string> labels_of(const std::vector<std::size_t>& which,
                                   std::span<const ClassQuantity> quantities) {
  std::vector<std::string> labels;
  for (const std::size_t quantity : which) {
    labels.push_back(quantity_label(quantities[quantity].name));
  }
  return labels;
}

std::optional<double> rest_above_K(const std::vector<FarLeak>& far) {
  std::vector<double> rests;
  for (const FarLeak& run : far) {
    if (run.rest_above_K) rests.push_back(*run.rest_above_K);
  }
  if (rests.empty()) return std::nullopt;
  return median_of(rests);
}

/// "all its runs", or which.
std::string far_runs_text(const LeakBeside& leak) {
  if (leak.far.size() == leak.runs) return "in all its runs";
  std::vector<std::string> runs;
  for (const FarLeak& run : leak.far) {
    runs.push_back(run.trial.empty() ? run.label : fmt::format("{} ({})", run.label, run.trial));
  }
  return "in " + list_of(runs);
}

Reason lid_reason(const LeakBeside& leak, const BenchJudgement& judgement) {
  std::vector<double> ratios;
  std::set<std::string> trials;
  for (const FarLeak& run : leak.far) {
    ratios.push_back(run.ratio);
    trials.insert(run.trial);
  }
  const double ratio = median_of(ratios);
  const auto rest = rest_above_K(leak.far);
  const bool evaporates = rest && *rest < -clearly_lower_K;
  Reason reason;
  reason.code = "lid-off";
  reason.trust = 2 * leak.far.size() >= leak.runs ? Trust::strong : Trust::fair;
  reason.trials.assign(trials.begin(), trials.end());
  reason.values = {{"leak_ratio", ratio}};
  if (rest) reason.values.emplace_back("rest_above_class_K", *rest);
  reason.text = fmt::format("Its cup lost heat {:.1f} times as fast as the others' {}", ratio,
                            far_runs_text(leak));
  if (evaporates) {
    reason.text +=
        fmt::format(", and drifted towards {:.1f} K less, as water does that evaporates", -*rest);
  }
  reason.text +=
      ": it looks as if the lid had been off, or not tight. Look at lid and cup, and keep moving "
      "air away.";
  if (judgement.outlying.empty()) {
    reason.text += " Its values lie in line all the same.";
  }
  return reason;
}

Trust trust_of(const Explanation& explanation, const std::vector<Explanation>& all) {
  if (explanation.moved.size() < 2) {
    return explanation.suspect.is_choice() || all.size() == 1 ? Trust::fair : Trust::weak;
  }
  if (explanation.suspect.is_choice()) return Trust::strong;
  const auto others = std::count_if(
      all.begin(), all.end(), [](const Explanation& other) { return other.moved.size() > 1; });
  return others > 1 || explanation.back.size() < 2 ? Trust::fair : Trust::strong;
}

/// The best few; weak ones only where there is nothing better.
void add_explanations(const BenchJudgement& judgement, const Evidence& evidence,
                      std::vector<Reason>& reasons) {
  if (!judgement.deviations) return;
  const auto& all = judgement.deviations->explanations;
  const bool leaks = !reasons.empty();
  std::vector<Reason> found;
  for (const Explanation& explanation : all) {
    // An open cup errs in ways of its own, which a figure may happen to fit.
    if (leaks && !explanation.suspect.is_choice()) continue;
    const Trust trust = trust_of(explanation, all);
    const bool has_better = std::any_of(found.begin(), found.end(), [](const Reason& reason) {
      return reason.trust != Trust::weak;
    });
    if (trust == Trust::weak && has_better) continue;
    found.push_back(reason_of(explanation, *evidence.benches[evidence.bench].sheet, trust));
    if (found.size() == most_explanations) break;
  }
  for (std::size_t i = 1; i < found.size(); ++i) {
    found[i].text = "Something else fits as well. " + found[i].text;
  }
  reasons.insert(reasons.end(), found.begin(), found.end());
}

void add_runs_apart(const BenchJudgement& judgement, const Evidence& evidence,
                    std::vector<Reason>& reasons) {
  if (judgement.apart.empty()) return;
  const auto labels = labels_of(judgement.apart, evidence.quantities);
  reasons.push_back(
      {"runs-apart", Trust::fair,
       fmt::format("Its runs of {} lie further apart than those of the others. Look for what was "
                   "not the same from run to run: stirring, the pour, the amounts, a wet probe.",
                   list_of(labels)),
       labels});
}

/// Codes of warnings, each with its text, in the runs of a bench.
std::map<std::string, std::string> warnings_of(const ClassBench& bench,
                                               const std::set<std::string>& trials) {
  std::map<std::string, std::string> warnings;
  for (const ClassRun& run : bench.runs) {
    if (!trials.empty() && !trials.contains(run.facts.trial)) continue;
    for (const RunFinding& finding : run.findings) {
      if (finding.severity != Severity::note) warnings.emplace(finding.code, finding.text);
    }
  }
  return warnings;
}

/// Whether a third of the other benches or more have it, too: then it explains nothing.
bool is_common(const std::string& code, const Evidence& evidence) {
  std::size_t having = 0;
  for (std::size_t other = 0; other < evidence.benches.size(); ++other) {
    if (other != evidence.bench && warnings_of(evidence.benches[other], {}).contains(code)) {
      ++having;
    }
  }
  return 3 * having >= evidence.benches.size() - 1;
}

void add_findings(const BenchJudgement& judgement, const Evidence& evidence,
                  std::vector<Reason>& reasons) {
  std::set<std::string> trials;
  for (const auto* const which : {&judgement.outlying, &judgement.apart}) {
    for (const std::size_t quantity : *which) {
      const std::string& trial = evidence.quantities[quantity].name.trial;
      if (!trial.empty()) trials.insert(trial);
    }
  }
  if (trials.empty()) return;
  const auto warnings = warnings_of(evidence.benches[evidence.bench], trials);
  for (const auto& [code, text] : warnings) {
    if (is_common(code, evidence)) continue;
    reasons.push_back({"findings",
                       Trust::fair,
                       fmt::format("The records of its own runs say ({}): {}", code, text),
                       {trials.begin(), trials.end()}});
  }
}

void add_unexplained(const BenchJudgement& judgement, const Evidence& evidence,
                     std::vector<Reason>& reasons) {
  const auto labels = labels_of(judgement.outlying, evidence.quantities);
  reasons.push_back(
      {"unexplained", Trust::weak,
       fmt::format("Nothing that was looked for clearly explains {}: no stock, cylinder, balance, "
                   "probe or single amount brings the bench back{}. See what was done otherwise, "
                   "and repeat a run beside another bench.",
                   list_of(labels), judgement.leak ? ", and its leak is as the others'" : ""),
       labels});
}

/// Runs struck out say that something went wrong at that bench.
void add_struck(const BenchJudgement& judgement, const Evidence& evidence,
                std::vector<Reason>& reasons) {
  if (judgement.outlying.empty() && judgement.apart.empty()) return;
  std::vector<std::string> struck, trials;
  for (const LeftOutRun& run : evidence.benches[evidence.bench].left_out) {
    if (run.why != "struck out") continue;
    struck.push_back(run.reason.empty() ? run.label
                                        : fmt::format("{} ({})", run.label, run.reason));
    trials.push_back(run.trial);
  }
  if (struck.empty()) return;
  reasons.push_back({"struck-runs", Trust::weak,
                     fmt::format("Struck out at this bench: {}. What was wrong there may have been "
                                 "so in its other runs.",
                                 list_of(struck)),
                     trials});
}

}  // namespace

std::string_view trust_name(Trust trust) {
  constexpr std::array<std::string_view, 3> names{"strong", "fair", "weak"};
  return names[static_cast<std::size_t>(trust)];
}

std::string list_of(const std::vector<std::string>& names) {
  std::string text;
  for (std::size_t i = 0; i < names.size(); ++i) {
    if (i > 0) text += i + 1 == names.size() ? " and " : ", ";
    text += names[i];
  }
  return text;
}

std::string quantity_label(const QuantityName& name) {
  switch (name.kind) {
    case QuantityKind::constant:
      return "the calorimeter constant";
    case QuantityKind::cycle:
      return "the cycle";
    case QuantityKind::trial:
      break;
  }
  return name.trial;
}

std::vector<Reason> reasons_of(const BenchJudgement& judgement, const Evidence& evidence) {
  std::vector<Reason> reasons;
  if (judgement.leak && !judgement.leak->far.empty()) {
    reasons.push_back(lid_reason(*judgement.leak, judgement));
  }
  add_explanations(judgement, evidence, reasons);
  add_runs_apart(judgement, evidence, reasons);
  add_findings(judgement, evidence, reasons);
  if (reasons.empty() && !judgement.outlying.empty()) add_unexplained(judgement, evidence, reasons);
  add_struck(judgement, evidence, reasons);
  return reasons;
}

}  // namespace nestcup
