// Whether one thing, if it had been other than stated, explains all that a bench is off by.
#pragma once

#include <optional>
#include <span>
#include <string>
#include <vector>

#include "core/classroom/class_bench.hpp"
#include "core/classroom/class_quantity.hpp"
#include "core/classroom/suspect.hpp"

namespace nestcup {

/// A suspect that brings a bench back to the class.
struct Explanation {
  Suspect suspect;
  double value = 0.0;  ///< that brings all trials nearest to the class; of no meaning for a choice
  double u = 0.0;      ///< standard uncertainty of it
  double chi_squared_before = 0.0;  ///< of the trials about the class as stated
  double chi_squared_after = 0.0;
  double dof = 0.0;
  double probability = 0.0;        ///< of a larger one by chance, afterwards
  std::vector<std::string> back;   ///< trials that lay off and lie in line then
  std::vector<std::string> moved;  ///< trials that it moves by more than their uncertainty
};

/// How far one bench is off.
struct Deviations {
  std::vector<std::string> trials;
  std::vector<double> by;                 ///< value less the class's robust mean, by trial
  double chi_squared = 0.0;               ///< with what the bench states and how the class spreads
  double probability = 1.0;               ///< of a larger one by chance
  std::vector<Explanation> explanations;  ///< the best first
};

/// Holds the bench's trials against the robust means of the class. What the bench's trials share
/// counts as they share it, tables aside; where the class spreads by more, that counts.
///
/// Each suspect in turn gets the value that brings chi-squared down most (work_out anew each time:
/// nothing is taken for linear), and its own inputs are left out of the covariance. It explains the
/// bench where what is left is probable (p >= 0.01, one degree of freedom less for a figure), where
/// it takes away at least 16 of chi-squared, and where the figure lies at least four of its stated
/// standard uncertainties off and within what is looked at. Those come back that fit as well as the
/// best within 6 of chi-squared. A stock's solved strength and another stock of the sheet that
/// holds so much are one explanation, the stock.
/// @param quantities  of the class
[[nodiscard]] Deviations deviations_of(const ClassBench& bench, std::size_t place,
                                       const Results& results,
                                       std::span<const ClassQuantity> quantities);

}  // namespace nestcup
