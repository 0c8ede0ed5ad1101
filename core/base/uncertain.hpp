// A measured quantity with its standard uncertainty.
#pragma once

#include <optional>

namespace nestcup {

/// A value with its standard uncertainty (k = 1) and, where finite, its degrees of freedom.
struct Uncertain {
  double value = 0.0;
  double u = 0.0;               ///< standard uncertainty, same unit, >= 0
  std::optional<double> dof{};  ///< degrees of freedom, > 0; nothing means infinite
};

}  // namespace nestcup
