// The rise over the mean of the two contents, against the mean worked out by hand.
#include "core/record/mixture_rise.hpp"

#include <cmath>

#include "core/sheet/sheet_file.hpp"
#include "tests/catch.hpp"

using namespace nestcup;

namespace {

/// A sheet with one trial of these contents, both with the same heat capacity a millilitre.
Sheet sheet_with(const std::string& cup, const std::string& added,
                 const std::string& purpose = "\"calorimeter constant\"") {
  const auto sheet = parse_sheet(
      "[sheet]\ntitle = \"One\"\n[calorimeter]\nconstant_J_per_K = 30.0\n[conventions]\n"
      "density_g_per_mL = 1.0\nheat_capacity_J_per_g_K = 4.184\n[[trial]]\nname = \"one\"\n"
      "purpose = " +
          purpose + "\ncup = { " + cup + " }\nadded = { " + added + " }\n",
      "one.toml");
  INFO((sheet ? "" : sheet.error().text));
  REQUIRE(sheet);
  return *sheet;
}

RunFacts facts(std::optional<Uncertain> added_degC) {
  RunFacts facts;
  facts.id = "one";
  facts.cup_degC = {20.0, 0.003, std::nullopt};
  facts.rise_K = {9.4, 0.01, 50.0};
  facts.cup_probe = {"probe cup", 0.0, 0.0};
  facts.added_degC = added_degC;
  facts.added_probe = ProbeError{"probe added", 0.0, 0.0};
  return facts;
}

std::optional<Uncertain> rise(const Sheet& sheet, const RunFacts& run) {
  return mixture_rise_K(run, sheet, sheet.trials.front());
}

const Uncertain warm_degC{40.0, 0.02, std::nullopt};

}  // namespace

TEST_CASE("equal amounts of water: the mean is half way") {
  const auto found = rise(
      sheet_with("substance = \"water\", volume_mL = 50", "substance = \"water\", volume_mL = 50"),
      facts(warm_degC));
  REQUIRE(found);
  CHECK(found->value == Approx(20.0 + 9.4 - 30.0));
  // final = cup + rise, mean = (cup + added) / 2; the heat capacity's own error falls out.
  CHECK(found->u == Approx(std::sqrt(0.01 * 0.01 + 0.25 * (0.003 * 0.003 + 0.02 * 0.02))));
  REQUIRE(found->dof);
  CHECK(*found->dof > 50.0);
}

TEST_CASE("unequal amounts weigh by their heat capacities, and their errors count") {
  const auto found = rise(sheet_with("substance = \"water\", volume_mL = 60, u_volume_mL = 0.5",
                                     "substance = \"water\", volume_mL = 40"),
                          facts(warm_degC));
  REQUIRE(found);
  CHECK(found->value == Approx(29.4 - 28.0));
  // d mean / d V_cup = -(40 - 20) K * 40 / 100^2 per mL
  const double by_volume_K = 0.5 * 20.0 * 40.0 / 1e4;
  const double by_temperatures_K = std::sqrt(1e-4 + 0.16 * (9e-6 + 4e-4));
  CHECK(found->u == Approx(std::hypot(by_volume_K, by_temperatures_K)).epsilon(1e-3));
}

TEST_CASE("without conventions each vessel's heat capacity is the mean on its way to the end") {
  Sheet sheet =
      sheet_with("substance = \"water\", mass_g = 50", "substance = \"water\", mass_g = 50");
  sheet.conventions.reset();
  const auto found = rise(sheet, facts(warm_degC));
  REQUIRE(found);
  // Water by IAPWS-95: 4.18405 J/(g K) at 20 degC, 4.18131 at 25, 4.17982 at 30, 4.17926 at 35,
  // 4.17941 at 40; means by Simpson's rule from 20 to 30 and from 30 to 40 degC. The program's
  // figures are within 1.5e-4 of those (tests/matter/water_test.cpp); that, and the end at 29.4
  // degC instead of 30, moves the mean by less than 4e-4 K.
  const double cup = (4.18405 + 4.0 * 4.18131 + 4.17982) / 6.0;
  const double added = (4.17982 + 4.0 * 4.17926 + 4.17941) / 6.0;
  const double mean_degC = (cup * 20.0 + added * 40.0) / (cup + added);
  CHECK(found->value == Approx(29.4 - mean_degC).margin(4e-4));
}

TEST_CASE("the sheet's temperature stands in for a probe's") {
  const std::string water = "substance = \"water\", volume_mL = 50";
  const auto found =
      rise(sheet_with(water, water + ", temperature_degC = 44.0, u_temperature_K = 0.1"),
           facts(std::nullopt));
  REQUIRE(found);
  CHECK(found->value == Approx(29.4 - 32.0));
  CHECK(found->u > 0.05);
  const auto probe = rise(sheet_with(water, water + ", temperature_degC = 44.0"), facts(warm_degC));
  REQUIRE(probe);
  CHECK(probe->value == Approx(29.4 - 30.0));
}

TEST_CASE("what is not known gives no rise over the mean") {
  const std::string water = "substance = \"water\", volume_mL = 50";
  CHECK_FALSE(rise(sheet_with(water, water), facts(std::nullopt)));
  // Taken for the cup's temperature by the results, and therefore not known.
  const std::string salt = "substance = \"NH4Cl(s)\", mass_g = 5";
  const Sheet dissolving =
      sheet_with(water, salt, "\"reaction\"\nequation = \"NH4Cl(s) -> NH4+(aq) + Cl-(aq)\"");
  CHECK_FALSE(rise(dissolving, facts(std::nullopt)));
  CHECK(rise(dissolving, facts(warm_degC)));
  // A solid with a mere name has no heat capacity.
  CHECK_FALSE(
      rise(sheet_with(water, "substance = \"brass block\", mass_g = 61.5", "\"heat capacity\""),
           facts(warm_degC)));
  Sheet one_vessel = sheet_with(water, water);
  one_vessel.trials.front().added.reset();
  CHECK_FALSE(rise(one_vessel, facts(warm_degC)));
}
