// nestcup accepted as scripts and people call it.
#include <algorithm>
#include <nlohmann/json.hpp>
#include <string>
#include <vector>

#include "core/matter/accepted.hpp"
#include "tests/catch.hpp"
#include "tests/tools/typed.hpp"

using namespace nestcup;
using namespace nestcup::testing;

namespace {

Outcome accepted(std::vector<std::string> words) {
  words.insert(words.begin(), "accepted");
  return typed_words(words);
}

nlohmann::json json_of(std::vector<std::string> words) {
  words.push_back("--json");
  const Outcome outcome = accepted(words);
  INFO(outcome.err);
  REQUIRE(outcome.code == 0);
  CHECK(outcome.err.empty());
  CHECK(std::count(outcome.out.begin(), outcome.out.end(), '\n') == 1);
  return nlohmann::json::parse(outcome.out);
}

}  // namespace

TEST_CASE("scripts get value, uncertainty, base and sources, with units in the keys") {
  const auto json = json_of({"HCl(aq) + NaOH(aq) = NaCl(aq) + H2O(l)"});
  CHECK(json.at("equation") == "HCl(aq) + NaOH(aq) -> NaCl(aq) + H2O(l)");
  // CODATA: -285.830 + 230.015, ranges of 0.040 each.
  CHECK_THAT(json.at("delta_H_kJ_per_mol").at("value").get<double>(), WithinAbs(-55.815, 1e-9));
  CHECK_THAT(json.at("delta_H_kJ_per_mol").at("u").get<double>(), WithinAbs(0.0283, 5e-5));
  CHECK(json.at("base") == "CODATA 1989");
  CHECK(json.at("mixed_bases") == false);
  CHECK(json.at("infinite_dilution") == true);
  CHECK(json.at("at_degC") == 25.0);
  CHECK_THAT(json.at("delta_Cp_J_per_mol_K").get<double>(), WithinAbs(223.791, 1e-9));
  REQUIRE(json.at("sources").size() == 2);
  CHECK_THAT(json.at("sources")[0].get<std::string>(), ContainsSubstring("CODATA Key Values"));
  const auto& reactions = json.at("reactions");
  const auto at_1 = std::find_if(reactions.begin(), reactions.end(), [](const auto& reaction) {
    return reaction.at("molality_mol_per_kg") == 1.0;
  });
  REQUIRE(at_1 != reactions.end());
  CHECK(at_1->at("delta_H_kJ_per_mol").at("value") == -57.5);
  CHECK(at_1->at("multiplier") == "1");
  CHECK_THAT(at_1->at("conditions").get<std::string>(), ContainsSubstring("1.0 mol/kg"));
  REQUIRE(json.at("other_bases").size() == 1);
  CHECK(json.at("other_bases")[0].at("base") == "NBS 1982");
}

TEST_CASE("what is not known is null") {
  const auto json = json_of({"MgSO4(s) -> MgSO4(aq)", "--base", "JANAF"});
  CHECK(json.at("base") == "JANAF 1998 and CODATA 1989");
  CHECK_THAT(json.at("delta_H_kJ_per_mol").at("value").get<double>(), WithinAbs(-114.55, 0.005));
  CHECK(json.at("delta_H_kJ_per_mol").at("u").is_null());
  CHECK(json.at("reactions").empty());
  CHECK(json_of({"Ag(s) + H+(aq) -> Ag+(aq) + 1/2 H2(g)"}).at("delta_Cp_J_per_mol_K").is_null());
}

TEST_CASE("people are told the value, where it holds, and what differs from it") {
  const Outcome acid = accepted({"HCl(aq) + NaOH(aq) -> NaCl(aq) + H2O(l)"});
  CHECK(acid.code == 0);
  CHECK_THAT(acid.out, StartsWith("HCl(aq) + NaOH(aq) -> NaCl(aq) + H2O(l)\n-55.815 \xC2\xB1 0.028 "
                                  "kJ/mol, at 25 degC, infinite dilution, from CODATA 1989\n"));
  CHECK_THAT(acid.out, ContainsSubstring("10 K warmer, the value changes by\n+2.24 kJ/mol."));
  CHECK_THAT(acid.out, ContainsSubstring("-57.50 \xC2\xB1 0.10 kJ/mol at 25 degC, HCl(aq) and "
                                         "NaOH(aq), each 1.0 mol/kg"));
  CHECK_THAT(acid.out,
             ContainsSubstring("Compare a trial with the value at its own concentration"));
  CHECK_THAT(acid.out, ContainsSubstring("from NBS 1982 [7]\n"));
  CHECK_THAT(acid.out, ContainsSubstring("\n  [7]  NBS 1982: Wagman"));
  const Outcome sulfate = accepted({"MgSO4(s) -> MgSO4(aq)"});
  CHECK_THAT(sulfate.out, ContainsSubstring("-91.2 \xC2\xB1 1.3 kJ/mol, at 25 degC"));
  CHECK_THAT(sulfate.out, ContainsSubstring("-114.55 kJ/mol, u not known, from JANAF 1998"));
  const Outcome oxide = accepted({"Mg(s) + 1/2 O2(g) -> MgO(s)"});
  CHECK_THAT(oxide.out, ContainsSubstring("-601.60 \xC2\xB1 0.15 kJ/mol, at 25 degC, from CODATA"));
  const Outcome mixed =
      accepted({"Al+3(aq) + 3 NaOH(s) -> Al(s) + 3 Na+(aq) + 3/2 H2O(l) + 3/4 O2(g)"});
  CHECK_THAT(mixed.out, ContainsSubstring("No base has all species"));
  for (const std::string& text : {acid.out, sulfate.out, oxide.out, mixed.out}) {
    CHECK_THAT(text, ContainsSubstring("\nSources:\n"));
  }
}

TEST_CASE("each failure of accepted has its exit code and says what to change") {
  struct Row {
    std::vector<std::string> words;
    int code;
    const char* told;
  };
  const std::vector<Row> rows{
      {{"H2(g) + 1/2 O2(g) -> H2O(l)", "--base", "NSB 1982"}, 64, "did you mean NBS 1982?"},
      {{"H2(g) + 1/2 O2(g)"}, 65, "no arrow"},
      {{"H2(g) + 1/2 O2(g) -> h2o(l)"}, 65, "h: elements begin with a capital, did you mean H?"},
      {{"H2(g) + O2(g) -> H2O(l)"}, 65, "not balanced: O 2 on the left, 1 on the right"},
      {{"Xg(s) + 1/2 O2(g) -> XgO(s)"}, 65, "Xg is no element"},
      {{"Ti(s) + O2(g) -> TiO2(s)"}, 66, "the table does not have TiO2(s)"},
      {{"H2(g) + 1/2 O2(g) -> H2O"}, 66, "H2O (there is H2O(l), H2O(g))"},
      {{"Mg(s) + 1/2 O2(g) -> MgO(s)", "--base", "NEA"}, 66, "NEA 1995 has none of"}};
  for (const auto& [words, code, told] : rows) {
    const Outcome outcome = accepted(words);
    INFO(told << " / " << outcome.err);
    CHECK(outcome.code == code);
    CHECK(outcome.out.empty());
    CHECK_THAT(outcome.err, ContainsSubstring(told));
    CHECK(std::count(outcome.err.begin(), outcome.err.end(), '\n') == 1);
  }
}

TEST_CASE("a call without an equation is a wrong one") {
  const Outcome outcome = accepted({});
  CHECK(outcome.code == 64);
  CHECK_THAT(outcome.err, StartsWith("nestcup: EQUATION is missing\n"));
}

TEST_CASE("the completion offers every base") {
  const auto command = accepted_command();
  std::vector<std::string> offered = command.options.front().complete.words;
  const auto names = accepted_bases();
  REQUIRE(offered.size() == names.size());
  for (std::size_t i = 0; i < names.size(); ++i) {
    CHECK_THAT(names[i], StartsWith(offered[i]));
  }
}
