// The rise over what mere mixing gives: what a reaction, a wall or a phase change brought.
#pragma once

#include <optional>

#include "core/base/uncertain.hpp"
#include "core/chemistry/run_facts.hpp"
#include "core/record/run_record.hpp"
#include "core/sheet/sheet.hpp"

namespace nestcup {

/// Final temperature less the mean of the two contents' temperatures, each weighted with its heat
/// capacity on the average from its own temperature to the final one (K): (C_cup T_cup + C_added
/// T_added) / (C_cup + C_added) is where two contents end that only mix, in a calorimeter that
/// takes up nothing.
///
/// Nothing where the trial does not fill both vessels, where a solid has a mere name and therefore
/// no heat capacity, or where nothing says how warm the added contents were: a probe, a plateau of
/// one probe, the run or the sheet. Ice alone is taken for 0 degC then.
[[nodiscard]] std::optional<Uncertain> mixture_rise_K(const RunFacts& facts, const Sheet& sheet,
                                                      const SheetTrial& trial);

/// The same of a record's temperatures as its `mixture_rise_K`: {"value", "u", "dof"}, or null. Of
/// a struck run, too.
[[nodiscard]] Json mixture_rise_json(Json record, const Sheet& sheet, const SheetTrial& trial);

}  // namespace nestcup
