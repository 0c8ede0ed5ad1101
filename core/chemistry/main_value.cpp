#include "core/chemistry/main_value.hpp"

namespace nestcup {

const std::optional<Measured>& main_value(const TrialResult& trial) {
  switch (trial.purpose) {
    case Purpose::heat_capacity:
      return trial.heat_capacity_J_per_g_K;
    case Purpose::fusion:
      return trial.fusion_J_per_g;
    case Purpose::reaction:
      return trial.delta_H_25_kJ_per_mol ? trial.delta_H_25_kJ_per_mol : trial.delta_H_kJ_per_mol;
    case Purpose::calorimeter_constant:
    case Purpose::electrical_calibration:
      break;
  }
  return trial.constant_J_per_K;
}

}  // namespace nestcup
