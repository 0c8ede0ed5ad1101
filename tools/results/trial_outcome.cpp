#include "tools/results/trial_outcome.hpp"

#include <cmath>

#include "core/base/uncertain_text.hpp"

namespace nestcup {

TrialOutcome trial_outcome(const TrialResult& trial) {
  switch (trial.purpose) {
    case Purpose::heat_capacity:
      return {"heat capacity", trial.heat_capacity_J_per_g_K, "J/(g K)"};
    case Purpose::fusion:
      return {"fusion", trial.fusion_J_per_g, "J/g"};
    case Purpose::reaction:
      return {"enthalpy", trial.delta_H_kJ_per_mol, "kJ/mol"};
    case Purpose::calorimeter_constant:
    case Purpose::electrical_calibration:
      break;
  }
  return {"constant", trial.constant_J_per_K, "J/K"};
}

std::string quantity_text(const Measured& measured, std::string_view unit) {
  return uncertain_text({measured.value(), measured.u(), std::nullopt}, unit);
}

std::string agreement_text(double E_n) {
  return std::abs(E_n) <= 1.0 ? "the two agree within their uncertainties"
                              : "further apart than their uncertainties allow";
}

}  // namespace nestcup
