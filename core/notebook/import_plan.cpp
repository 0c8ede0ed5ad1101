#include "core/notebook/import_plan.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <set>

#include "core/notebook/verify.hpp"

namespace nestcup {
namespace {

class Planner {
 public:
  Planner(const std::vector<KeptPlace>& places, const std::function<void(int, int)>& progress)
      : places_(places), progress_(progress) {}

  Result<ImportPlan> plan(const std::optional<std::string>& only) {
    find_runs();
    if (auto chosen = choose(only); !chosen) return chosen.error();
    order();
    plan_.book = whole_chain();
    return std::move(plan_);
  }

 private:
  void find_runs() {
    int total = 0;
    for (const KeptPlace& place : places_) total += static_cast<int>(place.entries().size());
    int done = 0;
    for (const KeptPlace& place : places_) {
      for (const KeptEntry& entry : place.entries()) {
        take(candidate(place, entry));
        progress_(++done, total);
      }
    }
  }

  static ImportCandidate candidate(const KeptPlace& place, const KeptEntry& entry) {
    ImportCandidate made{&place, &entry, "", {}};
    const auto run = place.read(entry);
    if (!run) {
      made.faults.push_back(run.error().text);
      return made;
    }
    const RunVerdict verdict = verify_run(run_of_files(*run), RiseCheck::leave);
    made.bench = verdict.bench;
    for (const CheckNote& fault : verdict.faults) made.faults.push_back(fault.text);
    return made;
  }

  void take(ImportCandidate made) {
    const auto known = by_id_.find(made.entry->proof.run_id);
    if (known == by_id_.end()) {
      by_id_[made.entry->proof.run_id] = plan_.runs.size();
      plan_.runs.push_back(std::move(made));
      return;
    }
    ImportCandidate& there = plan_.runs[known->second];
    const bool longer = made.entry->proof.revisions.size() > there.entry->proof.revisions.size();
    if (made.well() != there.well() ? made.well() : longer) there = std::move(made);
  }

  /// Leaves the runs of one bench.
  Result<void> choose(const std::optional<std::string>& only) {
    std::set<std::string> benches;
    for (const ImportCandidate& run : plan_.runs) {
      if (!run.bench.empty()) benches.insert(run.bench);
    }
    if (!only && benches.size() > 1) {
      return Error{Fault::usage,
                   fmt::format("there are runs of {} benches ({}); a store is of one: "
                               "name it with --only",
                               benches.size(), fmt::join(benches, ", "))};
    }
    if (!only) return {};
    std::erase_if(plan_.runs,
                  [&](const ImportCandidate& run) { return run.well() && run.bench != *only; });
    const bool any = std::any_of(plan_.runs.begin(), plan_.runs.end(),
                                 [&](const ImportCandidate& run) { return run.well(); });
    if (any) return {};
    return Error{
        Fault::no_input,
        fmt::format("no runs of a bench \"{}\" there; there are: {}", *only,
                    benches.empty() ? "none" : fmt::format("{}", fmt::join(benches, ", ")))};
  }

  void order() {
    std::map<std::string, TimeUs> began;
    for (const ImportCandidate& run : plan_.runs) {
      const Proof& proof = run.entry->proof;
      const auto [first, fresh] = began.emplace(proof.book, proof.first_us);
      first->second = std::min(first->second, proof.first_us);
    }
    using Key = std::tuple<TimeUs, std::string, int>;
    std::vector<std::pair<Key, ImportStep>> steps;
    for (std::size_t i = 0; i < plan_.runs.size(); ++i) {
      const Proof& proof = plan_.runs[i].entry->proof;
      for (const ProofRevision& one : proof.revisions) {
        steps.push_back({{began[proof.book], proof.book, one.link.number}, {i, one.revision}});
      }
    }
    std::stable_sort(steps.begin(), steps.end(),
                     [](const auto& a, const auto& b) { return a.first < b.first; });
    for (const auto& [key, step] : steps) plan_.steps.push_back(step);
  }

  /// The first chain, where it is whole.
  [[nodiscard]] std::string whole_chain() const {
    if (plan_.steps.empty()) return {};
    const std::string book = plan_.runs[plan_.steps.front().run].entry->proof.book;
    int end = 0;
    for (const KeptPlace& place : places_) {
      for (const KeptEnd& kept : place.ends()) {
        if (kept.kept.head.book == book) end = std::max(end, kept.kept.head.links);
      }
    }
    int links = 0;
    std::string last_sha256;
    for (const ImportStep& step : plan_.steps) {
      const ImportCandidate& run = plan_.runs[step.run];
      if (run.entry->proof.book != book) break;
      const ProofRevision& one =
          run.entry->proof.revisions[static_cast<std::size_t>(step.revision) - 1];
      const bool joined = one.link.number == links + 1 && one.previous_sha256 == last_sha256;
      if (!run.well() || !joined) return {};
      ++links;
      last_sha256 = one.link.sha256;
    }
    return links >= end ? book : "";
  }

  const std::vector<KeptPlace>& places_;
  const std::function<void(int, int)>& progress_;
  std::map<std::string, std::size_t> by_id_;
  ImportPlan plan_;
};

}  // namespace

Result<ImportPlan> plan_import(const std::vector<KeptPlace>& places,
                               const std::optional<std::string>& only,
                               const std::function<void(int, int)>& progress) {
  return Planner(places, progress).plan(only);
}

}  // namespace nestcup
