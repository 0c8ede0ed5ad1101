#include "core/matter/cylinder.hpp"

namespace nestcup {

double cubic_expansion_per_K(VesselMaterial material) {
  switch (material) {
    case VesselMaterial::borosilicate_glass:
      return 9.9e-6;
    case VesselMaterial::soda_lime_glass:
      return 27e-6;
    case VesselMaterial::polypropylene:
      return 450e-6;
  }
  return 0.0;
}

double delivered_volume_mL(double read_mL, double degC, VesselMaterial material,
                           double left_behind_mL) {
  constexpr double calibrated_degC = 20.0;
  return read_mL * (1.0 + cubic_expansion_per_K(material) * (degC - calibrated_degC)) -
         left_behind_mL;
}

}  // namespace nestcup
