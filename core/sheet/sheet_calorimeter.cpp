// [calorimeter] and [conventions] of a sheet.
#include "core/sheet/sheet_parts.hpp"

namespace nestcup {

void read_calorimeter(SheetReading& reading) {
  auto section = reading.file.table("calorimeter");
  if (!section) return;
  Calorimeter& calorimeter = reading.sheet.calorimeter;
  calorimeter.kind = one_line(*section, "kind");
  calorimeter.constant_J_per_K = section->number("constant_J_per_K", {0.0, 1e6});
  calorimeter.u_constant_J_per_K = section->number("u_constant_J_per_K", positive_amount);
  calorimeter.volume_mL = section->number("volume_mL", positive_amount);
  reading.names_constant = section->has_or_lacks_unit("constant_J_per_K");
  check_belongs(*section, "u_constant_J_per_K", "constant_J_per_K");
  section->refuse_other_keys();
}

void read_conventions(SheetReading& reading) {
  auto section = reading.file.table("conventions");
  if (!section) return;
  Conventions conventions;
  conventions.density_g_per_mL = section->number("density_g_per_mL", {0.0, 100.0, true});
  conventions.heat_capacity_J_per_g_K =
      section->number("heat_capacity_J_per_g_K", {0.0, 100.0, true});
  section->refuse_other_keys();
  reading.sheet.conventions = conventions;
}

}  // namespace nestcup
