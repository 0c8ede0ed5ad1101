#include "core/working/working.hpp"

#include <cassert>
#include <stdexcept>
#include <utility>

#include "core/working/expression.hpp"

namespace nestcup {

StepId Working::given(Step step) {
  assert(step.expression.empty());
  steps_.push_back(std::move(step));
  return steps_.size() - 1;
}

StepId Working::derived(Step step) {
  step.origin = Origin::derived;
  step.value = evaluated(step.expression, [&](std::string_view name) {
    const auto operand = step.operands.find(name);
    if (operand == step.operands.end()) {
      throw std::invalid_argument("no operand " + std::string(name) + " in " + step.expression);
    }
    return steps_[operand->second].value;
  });
  steps_.push_back(std::move(step));
  return steps_.size() - 1;
}

void Working::begin_part(WorkingPart part) {
  part.first = part.end = steps_.size();
  parts_.push_back(std::move(part));
}

void Working::end_part(std::optional<StepId> result) {
  parts_.back().end = steps_.size();
  parts_.back().result = result;
}

}  // namespace nestcup
