// Water against Kell's and the CIPM's tables, IAPWS's releases and their check values.
#include "core/matter/water.hpp"

#include <cmath>

#include "core/base/steam_point.hpp"
#include "tests/catch.hpp"

using namespace nestcup;
using namespace nestcup;

namespace {

struct WaterRow {
  double degC, value, allowed;
};

}  // namespace

// G. S. Kell, J. Chem. Eng. Data 20 (1975) 97: computed from the published coefficients, kg/m3.
// 997.0448954 and 988.0362916 are check values of M. Laliberte, J. Chem. Eng. Data 54 (2009) 1725.
TEST_CASE("the density of water is Kell's") {
  for (const WaterRow& row :
       {WaterRow{0, 999.8395, 5e-5}, WaterRow{4, 999.9720, 5e-5}, WaterRow{10, 999.6996, 5e-5},
        WaterRow{15, 999.0996, 5e-5}, WaterRow{20, 998.2041, 5e-5}, WaterRow{25, 997.0448954, 5e-8},
        WaterRow{30, 995.6473, 5e-5}, WaterRow{40, 992.2158, 5e-5}, WaterRow{50, 988.0362916, 5e-8},
        WaterRow{60, 983.1989, 5e-5}, WaterRow{80, 971.7978, 5e-5},
        WaterRow{100, 958.3637, 5e-5}}) {
    CAPTURE(row.degC);
    CHECK_THAT(1000.0 * water_density_g_per_mL(row.degC).value(),
               WithinAbs(row.value, row.allowed));
  }
}

// IAPWS-95 at 101.325 kPa, and the CIPM's recommended table (M. Tanaka et al., Metrologia 38 (2001)
// 301-309; its formula from memory), kg/m3: three independent sources within the stated u.
TEST_CASE("the density of water agrees with IAPWS-95 and the CIPM's formula") {
  for (const WaterRow& row :
       {WaterRow{0.01, 999.8438, 0}, WaterRow{4, 999.9749, 0}, WaterRow{10, 999.7025, 0},
        WaterRow{15, 999.1026, 0}, WaterRow{20, 998.2072, 0}, WaterRow{25, 997.0476, 0},
        WaterRow{30, 995.6495, 0}, WaterRow{40, 992.2164, 0}, WaterRow{50, 988.0350, 0},
        WaterRow{60, 983.1958, 0}, WaterRow{80, 971.7904, 0}}) {
    CAPTURE(row.degC);
    CHECK_THAT(1000.0 * water_density_g_per_mL(row.degC).value(),
               WithinRel(row.value, water_density_relative_u));
  }
  for (double t = 0.0; t <= 40.0; t += 1.0) {
    CAPTURE(t);
    const double off = t - 3.983035;
    const double cipm = 999.974950 * (1 - off * off * (t + 301.797) / (522528.9 * (t + 69.34881)));
    CHECK_THAT(1000.0 * water_density_g_per_mL(t).value(),
               WithinRel(cipm, water_density_relative_u));
  }
}

// IAPWS-95 at 101.325 kPa, J/(g K).
TEST_CASE("the heat capacity of water agrees with IAPWS-95") {
  for (const WaterRow& row :
       {WaterRow{0.01, 4.21941, 0}, WaterRow{4, 4.20750, 0}, WaterRow{5, 4.20504, 0},
        WaterRow{10, 4.19516, 0}, WaterRow{15, 4.18846, 0}, WaterRow{20, 4.18405, 0},
        WaterRow{22, 4.18278, 0}, WaterRow{25, 4.18131, 0}, WaterRow{30, 4.17982, 0},
        WaterRow{35, 4.17926, 0}, WaterRow{40, 4.17941, 0}, WaterRow{45, 4.18014, 0},
        WaterRow{50, 4.18134, 0}, WaterRow{60, 4.18495, 0}, WaterRow{70, 4.19007, 0},
        WaterRow{80, 4.19675, 0}, WaterRow{90, 4.20521, 0}, WaterRow{99.9, 4.21556, 0}}) {
    CAPTURE(row.degC);
    CHECK_THAT(water_heat_capacity_J_per_g_K(row.degC).value(), WithinAbs(row.value, 1.5e-4));
  }
}

// IAPWS R7-97(2012), table 35: saturation pressures by the equation of region 4.
TEST_CASE("the vapour pressure agrees with the check values of IAPWS-IF97") {
  CHECK_THAT(saturation(300.0 - 273.15)->pressure_Pa, WithinAbs(0.353658941e4, 5e-6));
  CHECK_THAT(saturation(500.0 - 273.15)->pressure_Pa, WithinAbs(0.263889776e7, 5e-3));
  CHECK_THAT(saturation(600.0 - 273.15)->pressure_Pa, WithinAbs(0.123443146e8, 5e-2));
}

TEST_CASE("vapour pressure and steam point are each other's inverse, and the slope is the slope") {
  for (double t = 1.0; t <= 370.0; t += 9.0) {
    CAPTURE(t);
    const Saturation line = saturation(t).value();
    CHECK_THAT(steam_point_degC(line.pressure_Pa).value(), WithinAbs(t, 1e-6));
    const double h = 1e-3;
    const double slope = (saturation(t + h)->pressure_Pa - saturation(t - h)->pressure_Pa) / 2 / h;
    CHECK_THAT(line.slope_Pa_per_K, WithinRel(slope, 1e-7));
  }
}

// IAPWS-95, h'' - h' times the molar mass.
TEST_CASE("the enthalpy of vaporisation agrees with IAPWS-95") {
  for (const WaterRow& row :
       {WaterRow{0.02, 45.0542, 0}, WaterRow{10, 44.6272, 0}, WaterRow{25, 43.9875, 0},
        WaterRow{33, 43.6452, 0}, WaterRow{60, 42.4738, 0}, WaterRow{100, 40.6497, 0}}) {
    CAPTURE(row.degC);
    CHECK_THAT(water_vaporisation_kJ_per_mol(row.degC).value(), WithinRel(row.value, 1.3e-4));
  }
}

// p_w 3.1698 kPa and 43.99 kJ/mol at 25 degC: 0.032294 x 43.99 = 1.42; 5.0354 kPa at 33 degC: 2.28.
TEST_CASE("wet gas carries heat away") {
  CHECK_THAT(wet_gas_heat_kJ_per_mol(25.0).value(), WithinAbs(1.42, 0.005));
  CHECK_THAT(wet_gas_heat_kJ_per_mol(33.0).value(), WithinAbs(2.28, 0.005));
  CHECK(wet_gas_heat_kJ_per_mol(25.0, 90.0).value() > wet_gas_heat_kJ_per_mol(25.0).value());
  CHECK_FALSE(wet_gas_heat_kJ_per_mol(99.0));
  CHECK_FALSE(wet_gas_heat_kJ_per_mol(25.0, 3.3));
  CHECK_FALSE(wet_gas_heat_kJ_per_mol(25.0, std::nan("")));
}

// IAPWS R10-06(2009), table 6: cp = 0.209671391024e4 J/(kg K) at 273.152519 K and 101325 Pa. The
// value at -20 degC is the release's equation as other software evaluates it.
TEST_CASE("the heat capacity of ice is that of IAPWS") {
  CHECK_THAT(ice_heat_capacity_J_per_g_K(0.0).value(), WithinAbs(2.09671391024, 2e-5));
  CHECK_THAT(ice_heat_capacity_J_per_g_K(-20.0).value(), WithinAbs(1.9498318646, 1e-9));
  CHECK_FALSE(ice_heat_capacity_J_per_g_K(0.1));
  CHECK_FALSE(ice_heat_capacity_J_per_g_K(-101.0));
}

TEST_CASE("outside of its range water has no value") {
  for (const double degC : {-0.1, 100.1, std::nan("")}) {
    CAPTURE(degC);
    CHECK_FALSE(water_density_g_per_mL(degC));
    CHECK_FALSE(water_heat_capacity_J_per_g_K(degC));
    CHECK_FALSE(water_vapour_pressure_kPa(degC));
    CHECK_FALSE(water_vaporisation_kJ_per_mol(degC));
    CHECK_FALSE(wet_gas_heat_kJ_per_mol(degC));
  }
  CHECK_FALSE(saturation(374.0));
}
