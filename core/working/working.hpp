// The working: every number between what was measured and what came out, a step each.
//
// A step is either given (by the sheet, a record, a table) or derived from earlier steps by an
// expression that is both evaluated and shown, so that what a reader follows is what was reckoned.
#pragma once

#include <cstddef>
#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "core/chemistry/measured.hpp"

namespace nestcup {

using StepId = std::size_t;

/// Where a given number comes from.
enum class Origin {
  sheet,
  record,      ///< a run's record, or its typed temperatures
  table,       ///< densities, heat capacities, atomic weights, accepted enthalpies
  convention,  ///< the sheet's choice for every liquid
  rule,        ///< an estimate by a rule that METHOD.md names
  budget,      ///< a standard uncertainty, from its budget
  weights,     ///< of repeats
  derived
};

struct Step {
  std::string what;     ///< key of the catalogue, without its section: "mass", "heat_of_contents"
  std::string subject;  ///< filled in there: a species, an instrument, a trial; may be empty
  std::string symbol;   ///< "m_1", "n(H+)", "Delta H"; see Symbol marks in steps.hpp
  std::string unit;     ///< empty for a pure number
  Origin origin = Origin::derived;
  std::string source;      ///< of a given number: the table's base, the instrument; may be empty
  std::string expression;  ///< of a derived one, over the names in `operands`
  std::map<std::string, StepId, std::less<>> operands;
  Measured value;
};

/// What some steps together are about.
struct WorkingPart {
  enum class Kind { run, repeats, constant, cycle, comparison };
  Kind kind = Kind::run;
  std::string trial;          ///< empty for constant and cycle
  int run_number = 0;         ///< of a run: its number in the trial
  std::string run_id;         ///< of a run
  StepId first = 0, end = 0;  ///< steps [first, end)
  std::optional<StepId> result;
};

/// All steps in an order in which each comes after what it rests on.
class Working {
 public:
  /// A number that the working starts from.
  StepId given(Step step);
  /// A number that follows from earlier ones: `expression` over `operands` is evaluated.
  StepId derived(Step step);

  void begin_part(WorkingPart part);
  /// Ends the part that was begun. @param result  what it was for
  void end_part(std::optional<StepId> result);

  [[nodiscard]] const Step& operator[](StepId id) const { return steps_[id]; }
  [[nodiscard]] const std::vector<Step>& steps() const { return steps_; }
  [[nodiscard]] const std::vector<WorkingPart>& parts() const { return parts_; }

 private:
  std::vector<Step> steps_;
  std::vector<WorkingPart> parts_;
};

}  // namespace nestcup
