// nestcup sheet as scripts and people call it.
#include <algorithm>
#include <filesystem>
#include <fstream>
#include <nlohmann/json.hpp>

#include "tests/catch.hpp"
#include "tests/tools/typed.hpp"

using namespace nestcup;
using namespace nestcup::testing;

namespace {

const std::string root = NESTCUP_SOURCE_DIR;
const std::string demo = root + "/tools/demo/sheet.toml";
const std::string hydration = root + "/tools/examples/magnesium-sulfate.toml";
const std::string mixing = root + "/tools/examples/metal-and-ice.toml";

/// A sheet in a folder of its own, gone with this object.
class OwnSheet {
 public:
  explicit OwnSheet(const std::string& text) {
    std::string pattern = std::filesystem::temp_directory_path() / "nestcup-sheet-XXXXXX";
    REQUIRE(mkdtemp(pattern.data()) != nullptr);
    folder_ = pattern;
    std::ofstream(path()) << text;
  }
  OwnSheet(const OwnSheet&) = delete;
  OwnSheet& operator=(const OwnSheet&) = delete;
  ~OwnSheet() { std::filesystem::remove_all(folder_); }

  [[nodiscard]] std::string path() const { return folder_ / "day.toml"; }

 private:
  std::filesystem::path folder_;
};

nlohmann::json shown(const std::string& path) {
  const Outcome outcome = typed("sheet show " + path + " --json");
  INFO(outcome.err);
  REQUIRE(outcome.code == 0);
  CHECK(outcome.err.empty());
  CHECK(std::count(outcome.out.begin(), outcome.out.end(), '\n') == 1);
  return nlohmann::json::parse(outcome.out);
}

bool cautions_name(const nlohmann::json& sheet, const std::string& part) {
  return std::any_of(sheet.at("cautions").begin(), sheet.at("cautions").end(),
                     [&](const std::string& text) { return text.find(part) != std::string::npos; });
}

}  // namespace

TEST_CASE("a cycle that cannot close, or closes in many ways, is said with its line") {
  const std::string head = R"toml([sheet]
title = "x"
[calorimeter]
constant_J_per_K = 28
[[trial]]
name = "salt"
purpose = "reaction"
equation = "KCl(s) -> K+(aq) + Cl-(aq)"
cup = { substance = "water", volume_mL = 100 }
added = { substance = "KCl(s)", mass_g = 3 }
[cycle]
from = ["salt"]
)toml";
  const OwnSheet open(head + "target = \"NaCl(s) -> Na+(aq) + Cl-(aq)\"\n");
  const Outcome cannot = typed("sheet check " + open.path());
  CHECK(cannot.code == 65);
  CHECK(cannot.err.find(":11: [cycle]: No sum") != std::string::npos);
  CHECK(cannot.err.find("NaCl(s)") != std::string::npos);
  const OwnSheet many(head +
                      "target = \"KCl(s) -> K+(aq) + Cl-(aq)\"\n"
                      "accepted = [\"2 KCl(s) -> 2 KCl(aq)\"]\n");
  const Outcome ambiguous = typed("sheet check " + many.path());
  CHECK(ambiguous.code == 65);
  CHECK(ambiguous.err.find("make each other up") != std::string::npos);
  CHECK(typed("sheet show " + open.path()).code == 0);
}

TEST_CASE("a sheet in order is said to be, with what it holds") {
  const Outcome outcome = typed("sheet check " + demo);
  INFO(outcome.err);
  CHECK(outcome.code == 0);
  CHECK(outcome.out == demo + ": in order: 4 trials, 1 stock, 1 instrument, a cycle\n");
  CHECK(outcome.err.empty());
  CHECK_THAT(typed("sheet check " + mixing).out,
             ContainsSubstring("in order: 3 trials, 0 stocks, 2 instruments\n"));
}

TEST_CASE("every problem of a sheet is printed, each with file and line") {
  const OwnSheet sheet(
      "[sheet]\ntitle = \"Salt\"\n[[trial]]\nname = \"salt\"\n"
      "purpose = \"reaction\"\nequation = \"NH4Cl(s) -> NH4+(aq)\"\n"
      "cup = { substance = \"water\", volume = 50 }\n"
      "added = { substance = \"NH4Cl(s)\", mass_g = 0 }\n");
  for (const char* action : {"sheet check ", "sheet show "}) {
    const Outcome outcome = typed(action + sheet.path());
    CHECK(outcome.code == 65);
    CHECK(outcome.out.empty());
    CHECK(std::count(outcome.err.begin(), outcome.err.end(), '\n') == 4);
    CHECK_THAT(outcome.err, StartsWith("nestcup: " + sheet.path() +
                                       ":5: [[trial]] purpose: no "
                                       "trial for the calorimeter constant"));
    CHECK_THAT(outcome.err, ContainsSubstring("day.toml:6: [[trial]] equation: "));
    CHECK_THAT(outcome.err, ContainsSubstring("day.toml:7: [[trial]] cup.volume: has no unit"));
    CHECK_THAT(outcome.err, ContainsSubstring("day.toml:8: [[trial]] added.mass_g: is 0"));
  }
}

TEST_CASE("wrong calls and files that are not there have their own exit codes") {
  CHECK(typed("sheet check /nonexistent/day.toml").code == 66);
  CHECK(typed("sheet chek " + demo).code == 64);
  CHECK_THAT(typed("sheet reload " + demo).err, ContainsSubstring("takes the bench's sheet"));
  CHECK_THAT(typed("sheet chek " + demo).err, ContainsSubstring("none of check, show and reload"));
  CHECK(typed("sheet check " + demo + " --json").code == 64);
  CHECK(typed("sheet check").code == 64);
}

TEST_CASE("the sheet for scripts has what stands in the file, and what runs out first") {
  const auto sheet = shown(demo);
  CHECK(sheet.at("title") == "Formation enthalpy of magnesium oxide");
  CHECK(sheet.at("sha256").get<std::string>().size() == 64);
  CHECK(sheet.at("calorimeter").at("constant_J_per_K").is_null());
  CHECK(sheet.at("conventions").is_null());
  CHECK(sheet.at("stocks").at(0).at("concentration_mol_per_L") == 1.0);
  CHECK(sheet.at("instruments").at(0).at("calibrated") == "to deliver");
  const auto& oxide = sheet.at("trials").at(1);
  CHECK(oxide.at("equation") == "MgO(s) + 2 H+(aq) -> Mg+2(aq) + H2O(l)");
  CHECK(oxide.at("cup").at("stock") == "acid");
  CHECK(oxide.at("cup").at("by") == "cylinder");
  CHECK(oxide.at("added").at("formula") == "MgO(s)");
  CHECK(oxide.at("added").at("mass_g") == 0.72);
  CHECK(oxide.at("limiting") == "MgO(s)");
  // 0.720 g over 40.304 g/mol (IUPAC 2021: Mg 24.305, O 15.999).
  CHECK_THAT(oxide.at("extent_mol").get<double>(), WithinRel(0.720 / 40.304, 1e-3));
  CHECK(sheet.at("trials").at(0).at("extent_mol").is_null());
  CHECK(sheet.at("trials").at(0).at("repeats") == 2);
  CHECK(sheet.at("cycle").at("from") == nlohmann::json({"oxide", "metal"}));
  CHECK(sheet.at("cycle").at("accepted").at(0) == "H2(g) + 1/2 O2(g) -> H2O(l)");
}

TEST_CASE("the ions of a stock run out as the equation wants them") {
  const OwnSheet sheet(
      "[sheet]\ntitle = \"Little acid\"\n[calorimeter]\nconstant_J_per_K = 20\n"
      "[[stock]]\nname = \"acid\"\nsubstance = \"HCl(aq)\"\nconcentration_mol_per_L = 0.4\n"
      "[[stock]]\nname = \"weighed\"\nsubstance = \"HCl(aq)\"\nmass_fraction = 0.01\n"
      "[[trial]]\nname = \"a\"\npurpose = \"reaction\"\n"
      "equation = \"MgO(s) + 2 H+(aq) -> Mg+2(aq) + H2O(l)\"\n"
      "cup = { stock = \"acid\", volume_mL = 51, left_behind_mL = 1 }\n"
      "added = { substance = \"MgO(s)\", mass_g = 2 }\n"
      "[[trial]]\nname = \"b\"\npurpose = \"reaction\"\n"
      "equation = \"MgO(s) + 2 HCl(aq) -> MgCl2(aq) + H2O(l)\"\n"
      "cup = { stock = \"weighed\", mass_g = 72.92 }\n"
      "added = { substance = \"MgO(s)\", mass_g = 2 }\n"
      "[[trial]]\nname = \"c\"\npurpose = \"reaction\"\n"
      "equation = \"MgO(s) + 2 H+(aq) -> Mg+2(aq) + H2O(l)\"\n"
      "cup = { stock = \"weighed\", volume_mL = 72 }\n"
      "added = { substance = \"MgO(s)\", mass_g = 2 }\n");
  const auto trials = shown(sheet.path()).at("trials");
  // 50 mL of 0.4 mol/L hold 0.020 mol of H+, two an equation.
  CHECK(trials.at(0).at("limiting") == "H+(aq)");
  CHECK_THAT(trials.at(0).at("extent_mol").get<double>(), WithinRel(0.010, 1e-9));
  // 0.7292 g of HCl over 36.46 g/mol (IUPAC 2021: H 1.008, Cl 35.45): 0.0200 mol.
  CHECK(trials.at(1).at("limiting") == "HCl(aq)");
  CHECK_THAT(trials.at(1).at("extent_mol").get<double>(), WithinRel(0.010, 1e-3));
  // 1 % HCl has 1.0031 g/mL at 20 degC (handbooks, from memory).
  CHECK_THAT(trials.at(2).at("extent_mol").get<double>(),
             WithinRel(72.0 * 1.0031 * 0.01 / 36.46 / 2.0, 1e-3));
}

TEST_CASE("the page names all that the day is about") {
  const std::string page = typed("sheet show " + hydration).out;
  for (const char* part :
       {"Enthalpy of hydration of magnesium sulfate", "from the trials for it", "holds",
        "none, the program's own tables", "balance: u 0.005 g", "trial crystals: reaction, 2 runs",
        "MgSO4.7H2O(s) -> Mg+2(aq) + SO4-2(aq) + 7 H2O(l)", "96.8 mL water by cylinder",
        "less 0.2 mL left behind", "0.02501 mol", "target", "responsible teacher"}) {
    CHECK_THAT(page, ContainsSubstring(part));
  }
  // No terminal, no colour.
  CHECK(page.find('\033') == std::string::npos);
}

TEST_CASE("cautions come from the sheet and end with whose word counts") {
  const auto acid = shown(demo);
  CHECK(cautions_name(acid, "Acids"));
  CHECK(cautions_name(acid, "Hydrogen is given off"));
  CHECK(cautions_name(acid, "Local rules and the responsible teacher"));
  const auto metal = shown(mixing);
  CHECK(cautions_name(metal, "scalds"));
  CHECK_FALSE(cautions_name(metal, "Acids"));
  CHECK_FALSE(cautions_name(metal, "Hydrogen"));
  CHECK(cautions_name(metal, "Local rules and the responsible teacher"));
}
