// What has no accepted value, and what a spoilt table would say.
#include <algorithm>
#include <string>
#include <vector>

#include "core/matter/accepted.hpp"
#include "tests/catch.hpp"

using namespace nestcup;

namespace {

Error refused(const std::string& text, std::optional<std::string_view> base = std::nullopt) {
  const auto equation = parse_equation(text);
  REQUIRE(equation.ok());
  const auto found = accepted_enthalpy(*equation, base);
  INFO(text);
  REQUIRE_FALSE(found.ok());
  return found.error();
}

/// The smallest file that is one, with `row` among the formation enthalpies of its base.
std::string file_with(const std::string& row, const std::string& behind = "") {
  return "zero = [\"H2(g)\", \"O2(g)\"]\n[[base]]\nname = \"A\"\nsource = \"S\"\nnote = \"N\"\n"
         "formation = [\n" +
         row +
         "\n]\n[heat_capacities]\nsource = \"C\"\nJ_per_mol_K = []\n"
         "[[reaction]]\nequation = \"H2O(s) -> H2O(l)\"\nkJ_per_mol = 6.0\n"
         "conditions = \"c\"\nsource = \"s\"\n" +
         behind;
}

}  // namespace

TEST_CASE("species that no table has are named, with what is near") {
  const Error strange = refused("XeF2(s) -> Xe(g) + F2(g)");
  CHECK(strange.kind == Fault::no_input);
  CHECK_THAT(strange.text, ContainsSubstring("does not have Xe(g)"));
  CHECK_THAT(strange.text, ContainsSubstring("XeF2(s)"));
  CHECK_THAT(refused("NH3(l) -> NH3(g)").text,
             ContainsSubstring("NH3(l) (there is NH3(g), NH3(aq))"));
  CHECK_THAT(refused("H2(g) + 1/2 O2(g) -> H2O").text,
             ContainsSubstring("H2O (there is H2O(l), H2O(g))"));
  CHECK_THAT(refused("MgSO4(s) + 5 H2O(l) -> MgSO4.5H2O(s)").text,
             ContainsSubstring("MgSO4.5H2O(s) (nearest: MgSO4.6H2O(s)"));
  CHECK_THAT(refused("Ti(s) + O2(g) -> TiO2(s)").text, !ContainsSubstring("nearest"));
}

TEST_CASE("a base that is none, or that has nothing to say, is an error") {
  CHECK(refused("H2(g) + 1/2 O2(g) -> H2O(l)", "CODTA 1989").kind == Fault::usage);
  CHECK_THAT(refused("H2(g) + 1/2 O2(g) -> H2O(l)", "CODTA 1989").text,
             ContainsSubstring("did you mean CODATA 1989?"));
  CHECK(refused("H2(g) + 1/2 O2(g) -> H2O(l)", "").kind == Fault::usage);
  const Error silent = refused("H2(g) + 1/2 O2(g) -> H2O(l)", "JANAF");
  CHECK(silent.kind == Fault::no_input);
  CHECK_THAT(silent.text, ContainsSubstring("JANAF 1998 has none of what reacts here"));
}

TEST_CASE("equations that do not balance or change nothing have no enthalpy") {
  CHECK(refused("H2(g) + O2(g) -> H2O(l)").kind == Fault::bad_data);
  CHECK_THAT(refused("H2(g) + O2(g) -> H2O(l)").text, ContainsSubstring("not balanced: O 2"));
  CHECK_THAT(refused("NaCl(aq) + KNO3(aq) -> NaNO3(aq) + KCl(aq)").text,
             ContainsSubstring("nothing changes"));
}

TEST_CASE("a sum from bases that are not consistent is marked as mixed") {
  // NaOH(s) is in NBS 1982 alone, Al+3(aq) in CODATA alone.
  const auto found = accepted_enthalpy(
      *parse_equation("Al+3(aq) + 3 NaOH(s) -> Al(s) + 3 Na+(aq) + 3/2 H2O(l) + 3/4 O2(g)"));
  REQUIRE(found.ok());
  CHECK(found->mixed);
  CHECK(found->base == "CODATA 1989 and NBS 1982");
  // By hand: 538.4 + 3 * 425.609 - 3 * 240.34 - 1.5 * 285.830.
  CHECK_THAT(found->value.kJ_per_mol,
             WithinAbs(538.4 + 3 * 425.609 - 3 * 240.34 - 1.5 * 285.830, 1e-9));
  CHECK(found->sources.size() == 2);
}

TEST_CASE("the table in the program reads, and every base has a source") {
  const auto& table = accepted_table();
  INFO((table ? "" : table.error().text));
  REQUIRE(table.ok());
  CHECK(accepted_bases() == std::vector<std::string>{"CODATA 1989", "NBS 1982", "NEA 1995",
                                                     "JANAF 1998", "ThermoChimie"});
  for (const AcceptedBase& base : table->bases) {
    CHECK(base.source.size() > 20);
    for (const std::string& name : base.completed_by) {
      INFO(base.name << " completed by " << name);
      const auto names = accepted_bases();
      CHECK(std::find(names.begin(), names.end(), name) != names.end());
    }
    for (const std::string& zero : table->zero) CHECK_FALSE(base.formation.contains(zero));
  }
}

TEST_CASE("bases agree with each other where they have the same species") {
  const auto& table = accepted_table();
  REQUIRE(table.ok());
  const AcceptedBase& codata = table->bases[0];
  const AcceptedBase& nbs = table->bases[1];
  int compared = 0;
  for (const auto& [species, value] : codata.formation) {
    const auto other = nbs.formation.find(species);
    if (other == nbs.formation.end()) continue;
    // CODATA's revisions are less than 1 kJ/mol, save for iodide and the carbonates.
    if (species == "I-(aq)" || species == "HCO3-(aq)" || species == "CO3-2(aq)") continue;
    INFO(species);
    CHECK_THAT(value.kJ_per_mol, WithinAbs(other->second.kJ_per_mol, 1.0));
    ++compared;
  }
  CHECK(compared > 20);
}

TEST_CASE("a spoilt table is refused with the line") {
  CHECK(parse_accepted(file_with("[\"H2O(l)\", -285.83, 0.04],")).ok());
  const std::vector<std::pair<std::string, std::string>> rows{
      {"[\"H2O(l)\", \"x\", 0.04],", "accepted.toml:7: a number should stand here"},
      {"[\"H2O(l)\", -285.83, 0],", "accepted.toml:7: a number above 0"},
      {"[\"H2O(l)\"],", "accepted.toml:7: a list of 2 to 3 cells"},
      {"[\"H2O(l)\", 1, 2, 3],", "accepted.toml:7: a list of 2 to 3 cells"},
      {"[\"H2O\", -285.83],", "accepted.toml:7: H2O has no phase"},
      {"[\"Mg^2+(aq)\", -467.0],", "accepted.toml:7: write this as Mg+2(aq)"},
      {"[\"Xg(s)\", -467.0],", "did you mean Mg?"},
      {"[\"H2O(l)\", -1], [\"H2O(l)\", -2],", "told twice"},
      {"[\"H2O(l)\" -1],", "accepted.toml:7"}};
  for (const auto& [row, told] : rows) {
    INFO(row);
    const auto table = parse_accepted(file_with(row));
    REQUIRE_FALSE(table.ok());
    CHECK(table.error().kind == Fault::bad_data);
    CHECK_THAT(table.error().text, ContainsSubstring(told));
  }
  const auto told = [](const std::string& text) { return parse_accepted(text).error().text; };
  CHECK_THAT(told(file_with("", "colour = 1\n")), ContainsSubstring("colour is no key"));
  CHECK_THAT(told("zero = []\n"), ContainsSubstring("base is missing"));
}
