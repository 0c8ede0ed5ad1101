// What the writers of steps have in common.
#pragma once

#include <map>
#include <string>
#include <utility>

#include "core/matter/rational.hpp"
#include "core/working/working.hpp"

namespace nestcup {

using Operands = std::map<std::string, StepId, std::less<>>;

/// What a step is about, in short.
struct StepTitle {
  std::string what;       ///< as Step::what
  std::string symbol;     ///< as Step::symbol
  std::string unit{};     ///< as Step::unit
  std::string subject{};  ///< as Step::subject
};

/// A factor within an expression: "2", "(1/2)", "(-1)".
[[nodiscard]] inline std::string factor_text(const Rational& factor) {
  const std::string text = rational_text(factor);
  return text.find_first_of("-/") == std::string::npos ? text : "(" + text + ")";
}

class StepWriter {
 public:
  explicit StepWriter(Working& working) : working_(working) {}

 protected:
  StepId given(StepTitle title, Origin origin, const Measured& value,
               const std::string& source = "") {
    return working_.given({std::move(title.what),
                           std::move(title.subject),
                           std::move(title.symbol),
                           std::move(title.unit),
                           origin,
                           source,
                           "",
                           {},
                           value});
  }

  StepId derived(StepTitle title, const std::string& expression, Operands operands) {
    return working_.derived({std::move(title.what),
                             std::move(title.subject),
                             std::move(title.symbol),
                             std::move(title.unit),
                             Origin::derived,
                             "",
                             expression,
                             std::move(operands),
                             {}});
  }

  [[nodiscard]] const Measured& value(StepId step) const { return working_[step].value; }
  [[nodiscard]] Working& working() { return working_; }

 private:
  Working& working_;
};

}  // namespace nestcup
