// Steps of the cycle: terms, sum, and how it compares.
#pragma once

#include <map>
#include <string>

#include "core/chemistry/closure.hpp"
#include "core/working/working.hpp"

namespace nestcup {

/// The step of each trial's result, by name.
using TrialSteps = std::map<std::string, StepId>;

/// Writes the part of the cycle, and that of its comparison. One that lacks a term ends without a
/// result.
void cycle_part(const CycleResult& cycle, const TrialSteps& trials, Working& working);

/// Writes the part that holds a result against an accepted value: the value, the difference (the
/// part's result), and per cent and E_n where they are known.
/// @param trial  whose result it is; empty for the cycle's
void comparison_part(const Comparison& comparison, const std::string& trial, StepId mine,
                     Working& working);

}  // namespace nestcup
