// What only the whole sheet shows, and that all problems are told, each once.
#include <fmt/format.h>

#include "tests/sheet/day_sheet.hpp"

using namespace nestcup;
using namespace nestcup::testing;

namespace {

const std::string salt_head = "[sheet]\ntitle = \"Salt\"\n";
const std::string salt =
    "[[trial]]\nname = \"salt\"\npurpose = \"reaction\"\n"
    "equation = \"NH4Cl(s) -> NH4+(aq) + Cl-(aq)\"\n"
    "cup = { substance = \"water\", volume_mL = 90 }\n"
    "added = { substance = \"NH4Cl(s)\", mass_g = 4 }\n";

std::vector<Error> problems_of(const std::string& text) {
  return check_sheet_text(text, "day.toml").problems;
}

}  // namespace

TEST_CASE("the calorimeter constant must come from somewhere") {
  const auto problems = problems_of(salt_head + salt);
  REQUIRE(problems.size() == 1);
  CHECK_THAT(problems[0].text, StartsWith("day.toml:5: [[trial]] purpose: no trial for the "
                                          "calorimeter constant"));
  CHECK_THAT(problems[0].text, ContainsSubstring("constant_J_per_K"));
  CHECK(problems_of(salt_head + "[calorimeter]\nconstant_J_per_K = 25\n" + salt).empty());
  CHECK(problems_of(salt_head + "[calorimeter]\nconstant_J_per_K = 0\n" + salt).empty());
  const std::string coil =
      "[[trial]]\nname = \"coil\"\npurpose = \"electrical calibration\"\n"
      "cup = { substance = \"water\", volume_mL = 90 }\n"
      "heater = { voltage_V = 8, current_A = 1, time_s = 99 }\n";
  CHECK(problems_of(salt_head + salt + coil).empty());
  // A constant that could not be read has had its word, and so has a purpose.
  CHECK(problems_of(salt_head + "[calorimeter]\nconstant_J_per_K = -5\n" + salt).size() == 1);
  CHECK(
      problems_of(salt_head + salt + "[[trial]]\nname = \"a\"\npurpose = \"constant\"\n").size() ==
      1);
}

TEST_CASE("no trial may want more room than the vessel has") {
  const std::string mixing =
      "[[trial]]\nname = \"warm\"\npurpose = \"calorimeter constant\"\n"
      "cup = { substance = \"water\", volume_mL = 60 }\n"
      "added = { substance = \"water\", mass_g = 45 }\n";
  const auto vessel = [&](int volume_mL) {
    return problems_of(salt_head + fmt::format("[calorimeter]\nvolume_mL = {}\n", volume_mL) +
                       mixing + salt);
  };
  CHECK(vessel(105).empty());
  const auto tight = vessel(100);
  REQUIRE(tight.size() == 1);
  CHECK_THAT(tight[0].text, StartsWith("day.toml:9: [[trial]] added: makes 105 mL together"));
  CHECK_THAT(tight[0].text, ContainsSubstring("(100 mL, [calorimeter] volume_mL)"));
  // The salt's 4 g are no volume: 90 mL fit, 89 do not.
  CHECK(vessel(90).size() == 1);
  CHECK(vessel(89).size() == 2);
}

TEST_CASE("what neither vessel supplies is named, each") {
  const auto problems = problems_of(
      salt_head + "[calorimeter]\nconstant_J_per_K = 25\n" +
      "[[stock]]\nname = \"base\"\nsubstance = \"NaOH(aq)\"\nconcentration_mol_per_L = 1\n"
      "[[trial]]\nname = \"odd\"\npurpose = \"reaction\"\n"
      "equation = \"H+(aq) + OH-(aq) + MgO(s) + H2O(l) -> H2O(l) + Mg(OH)2(s)\"\n"
      "cup = { stock = \"base\", volume_mL = 50 }\n"
      "added = { stock = \"base\", volume_mL = 50 }\n");
  REQUIRE(problems.size() == 2);
  CHECK_THAT(problems[0].text, StartsWith("day.toml:12: [[trial]] equation: wants H+(aq), which"));
  CHECK_THAT(problems[1].text, StartsWith("day.toml:12: [[trial]] equation: wants MgO(s), which"));
  CHECK_THAT(problems[1].text, ContainsSubstring("Na+(aq), OH-(aq), NaOH(aq), H2O(l)"));
}

TEST_CASE("all problems are told at once, in the file's order") {
  std::string text = sheet_with("volume_mL = 45.0", "volume = 45.0");
  const auto spoil = [&text](const std::string& piece, const std::string& replacement) {
    const std::size_t at = text.find(piece);
    REQUIRE(at != std::string::npos);
    text.replace(at, piece.size(), replacement);
  };
  spoil("u_volume_mL = 0.06", "u_volume_mL = 0");
  spoil("\"MgO(s)\", mass_g = 0.655", "\"MgO(s)\", mass_g = 0");
  spoil("Mg(s) + 2 H+(aq)", "Mg(s) + H+(aq)");
  spoil("base = \"CODATA\"", "bases = \"CODATA\"");
  const auto problems = problems_of(text);
  REQUIRE(problems.size() == 5);
  const std::vector<std::string> starts{
      "day.toml:10: ", "day.toml:24: ", "day.toml:31: ", "day.toml:39: ", "day.toml:64: "};
  for (std::size_t i = 0; i < starts.size(); ++i) {
    CHECK_THAT(problems[i].text, StartsWith(starts[i]));
  }
}

TEST_CASE("a table where a list of tables belongs is one problem") {
  const auto problems = problems_of(salt_head + "[trial]\nname = \"a\"\n");
  REQUIRE(problems.size() == 1);
  CHECK_THAT(problems[0].text, ContainsSubstring("[[trial]]"));
}
