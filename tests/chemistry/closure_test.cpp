#include "core/chemistry/closure.hpp"

#include <cmath>

#include "tests/chemistry/worked.hpp"

using namespace nestcup;
using namespace nestcup::testing;

namespace {

std::string reaction(const std::string& name, const std::string& equation,
                     const std::string& solid) {
  return "[[trial]]\nname = \"" + name + "\"\npurpose = \"reaction\"\nequation = \"" + equation +
         "\"\ncup = { stock = \"acid\", volume_mL = 100.0 }\nadded = { substance = \"" + solid +
         "\", mass_g = 1.0 }\n";
}

const std::string acid =
    "[[stock]]\nname = \"acid\"\nsubstance = \"HCl(aq)\"\nconcentration_mol_per_L = 1.0\n";

Sheet sheet_of(const std::string& trials, const std::string& cycle) {
  const auto sheet =
      parse_sheet(sheet_head(30.0) + acid + trials + "[cycle]\n" + cycle, "sheet.toml");
  INFO((sheet ? std::string() : sheet.error().text));
  REQUIRE(sheet);
  return *sheet;
}

/// A value with an error of its own.
Measured own(Inputs& inputs, double value, double u) {
  return Measured::of(value, inputs.add({"own"}), u);
}

const std::string oxide = reaction("oxide", "MgO(s) + 2 H+(aq) -> Mg+2(aq) + H2O(l)", "MgO(s)");
const std::string metal = reaction("metal", "Mg(s) + 2 H+(aq) -> Mg+2(aq) + H2(g)", "Mg(s)");
const std::string pellets = reaction("pellets", "NaOH(s) -> Na+(aq) + OH-(aq)", "NaOH(s)");

}  // namespace

TEST_CASE("a cycle adds up with what its terms share, and E_n follows by hand") {
  const Sheet sheet = sheet_of(oxide + metal,
                               "target = \"Mg(s) + 1/2 O2(g) -> MgO(s)\"\nfrom = [\"oxide\", "
                               "\"metal\"]\naccepted = [\"H2(g) + 1/2 O2(g) -> H2O(l)\"]\n");
  Inputs inputs;
  ResultNotes notes;
  const Measured shared = Measured::of(0.0, inputs.add({"shared"}), 0.5);
  const std::map<std::size_t, MeasuredEnthalpy> measured{
      {0, {own(inputs, -150.0, 1.0) + shared, true}},
      {1, {own(inputs, -465.0, 2.0) + 2.0 * shared, true}}};
  const CycleResult result = close_cycle(sheet, measured, inputs, notes);
  REQUIRE(result.delta_H_kJ_per_mol);
  // 150 - 465 - 285.83; the shared error counts 2 - 1 times. CODATA: half of 0.040 and of 0.30.
  CHECK(result.delta_H_kJ_per_mol->value() == Approx(-600.83));
  const double variance = 1.0 + 4.0 + 0.25 + 0.02 * 0.02;
  CHECK(result.delta_H_kJ_per_mol->variance() == Approx(variance));
  REQUIRE(result.accepted);
  CHECK(result.accepted->kJ_per_mol.value() == Approx(-601.60));
  CHECK(result.accepted->source.starts_with("CODATA 1989"));
  CHECK(result.accepted->difference_kJ_per_mol.value() == Approx(0.77));
  REQUIRE(result.accepted->E_n);
  CHECK(*result.accepted->E_n == Approx(0.77 / (2.0 * std::sqrt(variance + 0.15 * 0.15))));
  REQUIRE(result.accepted->percent);
  CHECK(*result.accepted->percent == Approx(100.0 * 0.77 / 601.60));
  CHECK(result.at_25_degC);
  CHECK_FALSE(result.direct);
  REQUIRE(result.terms.size() == 3);
  CHECK(rational_text(result.terms[0].multiplier) == "-1");
  CHECK(result.terms[2].source.starts_with("CODATA 1989"));
}

TEST_CASE("species that sum and accepted value have in common are not counted twice") {
  // NBS 1982: H2O(l) -285.830, OH- -229.994, NaOH(s) -425.609, each within 0.025; Na+ -240.12
  // within 0.25.
  const Sheet sheet = sheet_of(pellets,
                               "target = \"NaOH(s) + H+(aq) -> Na+(aq) + H2O(l)\"\nfrom = "
                               "[\"pellets\"]\naccepted = [\"H+(aq) + OH-(aq) -> H2O(l)\"]\n"
                               "base = \"NBS\"\n");
  Inputs inputs;
  ResultNotes notes;
  const CycleResult result =
      close_cycle(sheet, {{0, {own(inputs, -44.5, 0.1), true}}}, inputs, notes);
  REQUIRE(result.accepted);
  CHECK(result.accepted->kJ_per_mol.value() == Approx(-285.830 - 240.12 + 425.609));
  CHECK(result.delta_H_kJ_per_mol->value() == Approx(-44.5 - 285.830 + 229.994));
  // Water's error is in both and falls out.
  CHECK(result.accepted->difference_kJ_per_mol.variance() ==
        Approx(0.01 + 2.0 * 0.0125 * 0.0125 + 0.125 * 0.125));
}

TEST_CASE("a trial that measured the target itself is held beside the sum") {
  const std::string direct =
      reaction("twice", "2 NaOH(s) + 2 H+(aq) -> 2 Na+(aq) + 2 H2O(l)", "NaOH(s)");
  const Sheet sheet = sheet_of(pellets + direct,
                               "target = \"NaOH(s) + H+(aq) -> Na+(aq) + H2O(l)\"\nfrom = "
                               "[\"pellets\"]\naccepted = [\"H+(aq) + OH-(aq) -> H2O(l)\"]\n"
                               "accepted_kJ_per_mol = -90.0\n");
  Inputs inputs;
  ResultNotes notes;
  const CycleResult result = close_cycle(
      sheet, {{0, {own(inputs, -44.0, 0.3), false}}, {1, {own(inputs, -198.0, 0.8), true}}}, inputs,
      notes);
  REQUIRE(result.direct);
  CHECK(result.direct->kJ_per_mol.value() == Approx(-99.0));
  CHECK(result.direct->kJ_per_mol.u() == Approx(0.4));
  CHECK(result.direct->source == "the trial twice");
  CHECK(result.direct->difference_kJ_per_mol.value() == Approx(-44.0 - 55.815 + 99.0));
  CHECK_FALSE(result.at_25_degC);
  // The sheet's own accepted value wins, here without u.
  REQUIRE(result.accepted);
  CHECK(result.accepted->source == "the sheet");
  CHECK(result.accepted->kJ_per_mol.u() == 0.0);
}

TEST_CASE("the percentage has the sign of the difference, whatever that of the value") {
  const Comparison more = compare(Measured(-110.0), Measured(-100.0), "a book");
  CHECK(more.difference_kJ_per_mol.value() == -10.0);
  CHECK(*more.percent == Approx(-10.0));
  CHECK(*compare(Measured(110.0), Measured(100.0), "a book").percent == Approx(10.0));
  // Without any uncertainty there is no E_n, and of nothing no percentage.
  CHECK_FALSE(more.E_n);
  CHECK_FALSE(compare(Measured(1.0), Measured(0.0), "a book").percent);
}
