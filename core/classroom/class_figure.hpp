// What a chart of a class shows of one quantity, as plain values.
#pragma once

#include <optional>
#include <string>
#include <vector>

namespace nestcup {

struct ClassResult;

struct ClassFigureBench {
  std::string name;
  double value = 0.0;
  double u = 0.0;            ///< standard uncertainty as the bench states it
  std::vector<double> runs;  ///< empty where the quantity has none of its own
  bool outlying = false;
};

struct ClassFigure {
  std::string title;     ///< of the sheet
  std::string quantity;  ///< "oxide: enthalpy at 25 degC"
  std::string unit;      ///< of all values below: "kJ/mol"
  std::vector<ClassFigureBench> benches;
  std::optional<double> robust_mean, robust_sd;  ///< from two benches on
  double median = 0.0;
  std::optional<double> accepted, u_accepted;
};

/// One for each quantity of the class, in its order.
[[nodiscard]] std::vector<ClassFigure> class_figures(const ClassResult& result);

}  // namespace nestcup
