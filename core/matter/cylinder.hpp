// What a measuring cylinder, pipette or burette gives for what is read off it.
#pragma once

namespace nestcup {

enum class VesselMaterial {
  borosilicate_glass,  ///< 3.3: 9.9e-6 per K (ISO 4787)
  soda_lime_glass,     ///< 27e-6 per K (ISO 4787, from memory)
  polypropylene,       ///< 450e-6 per K, 300e-6 to 600e-6 by make (from memory)
};

/// How much the vessel's volume grows with temperature, 1/K.
[[nodiscard]] double cubic_expansion_per_K(VesselMaterial material);

/// The volume (mL, at the liquid's temperature) that leaves the vessel.
/// The marks hold at 20 degC (ISO 384); the vessel has the liquid's temperature. Of one calibrated
/// to deliver, what stays on the wall is in the marks; of one calibrated to contain it is not, and
/// `left_behind_mL` is taken off.
/// @param read_mL         what the marks say
/// @param left_behind_mL  0 where calibrated to deliver; LIQUIDS.md has an estimate
[[nodiscard]] double delivered_volume_mL(
    double read_mL, double degC, VesselMaterial material = VesselMaterial::borosilicate_glass,
    double left_behind_mL = 0.0);

}  // namespace nestcup
