// What each bench of a class hands in.
#pragma once

#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "core/analysis/run/findings.hpp"
#include "core/chemistry/run_facts.hpp"
#include "core/sheet/sheet.hpp"

namespace nestcup {

/// A finding of a run's record.
struct RunFinding {
  std::string code;
  Severity severity = Severity::note;
  std::string text;
};

/// A run that counts.
struct ClassRun {
  RunFacts facts;
  std::string label;                    ///< for people: "run 3"
  std::optional<Uncertain> leak_per_s;  ///< heat-leak rate, > 0
  std::optional<Uncertain> rest_degC;   ///< where the cup would drift to
  std::vector<RunFinding> findings;
  std::string mixed_at{};  ///< RFC 3339; empty where it is not known
};

/// A run that does not, and why.
struct LeftOutRun {
  std::string label;
  std::string trial;   ///< empty where it was given to none
  std::string why;     ///< "struck out", "unusable", "counted already"
  std::string reason;  ///< given at the bench; empty where none is known
};

struct ClassBench {
  std::string name;
  std::shared_ptr<const Sheet> sheet;  ///< by which it is worked out; runs on paper are in it
  std::vector<ClassRun> runs;
  std::vector<LeftOutRun> left_out;
};

/// What the chemistry takes of a bench's runs.
[[nodiscard]] std::vector<RunFacts> facts_of(const ClassBench& bench);

}  // namespace nestcup
