// What is said of each thing that may have been other than stated: its figure, its unit, the way it
// is off, and where to look.
#include <algorithm>

#include "core/classroom/reason.hpp"
#include "core/sheet/sheet_file.hpp"
#include "tests/catch.hpp"

using namespace nestcup;

namespace {

constexpr const char* sheet_text = R"toml([sheet]
title = "Two bottles"
[[stock]]
name = "acid"
substance = "HCl(aq)"
concentration_mol_per_L = 1.0
[[stock]]
name = "strong acid"
substance = "HCl(aq)"
mass_fraction = 0.25
[[trial]]
name = "warm"
purpose = "calorimeter constant"
cup = { substance = "water", volume_mL = 50.0 }
added = { substance = "water", volume_mL = 50.0 }
)toml";

struct Case {
  SuspectKind kind;
  double value;
  const char* unit;
  std::vector<const char*> parts;
};

Explanation explained(const Case& one) {
  Explanation explanation;
  explanation.suspect.kind = one.kind;
  explanation.suspect.name = "what is named";
  explanation.suspect.trial = "warm";
  explanation.suspect.unit = one.unit;
  explanation.suspect.stated = 3.5;
  explanation.suspect.other_index = 1;
  explanation.value = one.value;
  explanation.u = 0.02;
  explanation.probability = 0.25;
  explanation.back = {"warm"};
  return explanation;
}

bool has(const std::string& text, const std::string& part) {
  return text.find(part) != std::string::npos;
}

}  // namespace

TEST_CASE("each suspect is named with its figure, its sign and where to look") {
  const auto sheet = parse_sheet(sheet_text, "day.toml");
  REQUIRE(sheet);
  using Kind = SuspectKind;
  for (const Case& one : {
           Case{Kind::strength, 2.0, "mol/L", {"what is named had held 2.00", "titrate"}},
           Case{Kind::other_stock, 0.0, "", {"25 % HCl(aq) by mass", "1 mol/L HCl(aq)"}},
           Case{Kind::exchanged_stocks, 0.0, "", {"acid and strong acid had been exchanged"}},
           Case{Kind::cylinder, 0.75, "mL", {"held 0.75", "mL more than was read", "meniscus"}},
           Case{Kind::cylinder, -0.75, "mL", {"held 0.75", "mL less than was read"}},
           Case{Kind::balance, 0.5, "g", {"0.50", "g more than was read", "set to zero"}},
           Case{Kind::balance, -0.5, "g", {"g less than was read"}},
           Case{Kind::cup_scale, 0.25, "", {"every rise 25.0", "% too large", "two points"}},
           Case{Kind::cup_scale, -0.25, "", {"25.0", "% too small"}},
           Case{Kind::added_offset, 1.25, "K", {"showed 1.25", "K too much", "--compare"}},
           Case{Kind::added_offset, -1.25, "K", {"1.25", "too little"}},
           Case{Kind::constant, 60.0, "J/K", {"took 60.00", "in place of 3.5", "this cup"}},
           Case{Kind::amount, 2.0, "g", {"2.00", "in what was added in warm", "measure it again"}},
           Case{Kind::added_temperature, 25.0, "degC", {"added in warm had been at 25.00"}},
       }) {
    const Reason reason = reason_of(explained(one), *sheet, Trust::fair);
    INFO(reason.text);
    CHECK(reason.code == suspect_code(one.kind));
    for (const char* const part : one.parts) CHECK(has(reason.text, part));
    CHECK(has(reason.text, "With that warm comes back to the class"));
    CHECK(has(reason.text, "in 25 % of cases"));
  }
}

TEST_CASE("the numbers of a reason carry their unit in their names") {
  const auto sheet = parse_sheet(sheet_text, "day.toml");
  REQUIRE(sheet);
  for (const auto& [kind, unit, name] :
       {std::tuple{SuspectKind::strength, "mol/L", "as_if_mol_per_L"},
        std::tuple{SuspectKind::constant, "J/K", "as_if_J_per_K"},
        std::tuple{SuspectKind::cylinder, "mL", "as_if_mL"},
        std::tuple{SuspectKind::cup_scale, "", "as_if"}}) {
    const Reason reason = reason_of(explained({kind, 0.5, unit, {}}), *sheet, Trust::weak);
    CHECK(reason.values.front().first == name);
    CHECK(reason.values.front().second == 0.5);
  }
  const Reason choice =
      reason_of(explained({SuspectKind::other_stock, 0.0, "", {}}), *sheet, Trust::weak);
  CHECK(choice.values.front().first == "chi_squared_before");
}

TEST_CASE("several trials come back to the class together") {
  const auto sheet = parse_sheet(sheet_text, "day.toml");
  REQUIRE(sheet);
  Explanation explanation = explained({SuspectKind::cylinder, 0.5, "mL", {}});
  explanation.back = {"warm", "oxide"};
  CHECK(has(reason_of(explanation, *sheet, Trust::strong).text, "warm and oxide come back"));
}
