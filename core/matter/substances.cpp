#include "core/matter/substances.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <string>
#include <utility>

#include "core/base/nearest.hpp"
#include "core/base/numbers.hpp"

namespace nestcup {

namespace {

struct Name {
  const char* name;
  const char* formula;
};

constexpr std::array names{Name{"water", "H2O(l)"},
                           Name{"ice", "H2O(s)"},
                           Name{"steam", "H2O(g)"},
                           Name{"hydrochloric acid", "HCl(aq)"},
                           Name{"nitric acid", "HNO3(aq)"},
                           Name{"sulfuric acid", "H2SO4(aq)"},
                           Name{"acetic acid", "CH3COOH(aq)"},
                           Name{"citric acid", "C6H8O7(s)"},
                           Name{"sodium hydroxide", "NaOH(s)"},
                           Name{"potassium hydroxide", "KOH(s)"},
                           Name{"ammonia", "NH3(aq)"},
                           Name{"sodium chloride", "NaCl(s)"},
                           Name{"potassium chloride", "KCl(s)"},
                           Name{"ammonium chloride", "NH4Cl(s)"},
                           Name{"ammonium nitrate", "NH4NO3(s)"},
                           Name{"potassium nitrate", "KNO3(s)"},
                           Name{"calcium chloride", "CaCl2(s)"},
                           Name{"magnesium sulfate", "MgSO4(s)"},
                           Name{"magnesium oxide", "MgO(s)"},
                           Name{"calcium oxide", "CaO(s)"},
                           Name{"sodium hydrogencarbonate", "NaHCO3(s)"},
                           Name{"sodium carbonate", "Na2CO3(s)"},
                           Name{"urea", "CO(NH2)2(s)"},
                           Name{"tris", "C4H11NO3(s)"},
                           Name{"magnesium", "Mg(s)"},
                           Name{"zinc", "Zn(s)"},
                           Name{"copper", "Cu(s)"},
                           Name{"iron", "Fe(s)"},
                           Name{"aluminium", "Al(s)"},
                           Name{"aluminum", "Al(s)"},
                           Name{"lead", "Pb(s)"},
                           Name{"silver", "Ag(s)"},
                           Name{"tin", "Sn(s)"},
                           Name{"nickel", "Ni(s)"}};

std::string in_small_letters(std::string_view text) {
  std::string small(text);
  for (char& c : small) {
    if (c >= 'A' && c <= 'Z') c = static_cast<char>(c - 'A' + 'a');
  }
  return small;
}

constexpr std::array strong_bases{"Li+", "Na+", "K+", "Rb+", "Cs+", "Mg+2", "Ca+2", "Sr+2", "Ba+2"};
constexpr std::array other_cations{"NH4+", "Ag+",  "Mn+2", "Fe+2", "Co+2", "Ni+2", "Cu+2",
                                   "Zn+2", "Cd+2", "Sn+2", "Pb+2", "Al+3", "Cr+3", "Fe+3"};
constexpr std::array acid_anions{"Cl-", "Br-", "I-", "NO3-", "ClO4-", "HSO4-"};
constexpr std::array other_anions{"F-",      "NO2-",    "ClO-",   "ClO2-",    "ClO3-",   "BrO3-",
                                  "IO3-",    "SO4-2",   "SO3-2",  "HSO3-",    "S2O3-2",  "S-2",
                                  "HS-",     "CO3-2",   "HCO3-",  "PO4-3",    "HPO4-2",  "H2PO4-",
                                  "CH3COO-", "HCOO-",   "C2O4-2", "CN-",      "SCN-",    "MnO4-",
                                  "CrO4-2",  "Cr2O7-2", "B4O7-2", "C6H5O7-3", "C4H4O6-2"};

using Ions = std::vector<Formula>;

template <class Texts>
void add_ions(const Texts& texts, Ions& ions) {
  for (const char* const text : texts) {
    ions.push_back(in_phase(parse_formula(text).value(), Phase::aqueous));
  }
}

/// Cations with the anions that they make strong electrolytes with.
struct Family {
  Ions cations;
  Ions anions;
};

/// Read once; the texts are the constants above.
const std::vector<Family>& families() {
  static const std::vector<Family> made = [] {
    Family acids, bases, salts;
    add_ions(std::array{"H+"}, acids.cations);
    add_ions(acid_anions, acids.anions);
    add_ions(strong_bases, bases.cations);
    add_ions(std::array{"OH-"}, bases.anions);
    add_ions(strong_bases, salts.cations);
    add_ions(other_cations, salts.cations);
    add_ions(acid_anions, salts.anions);
    add_ions(other_anions, salts.anions);
    return std::vector{std::move(acids), std::move(bases), std::move(salts)};
  }();
  return made;
}

bool is_made_of(const std::map<std::string, int>& atoms, const Formula& cation, int cations,
                const Formula& anion, int anions) {
  std::map<std::string, int> sum;
  for (const auto& [symbol, count] : cation.atoms) sum[symbol] += cations * count;
  for (const auto& [symbol, count] : anion.atoms) sum[symbol] += anions * count;
  return sum == atoms;
}

/// How many of the ion the atoms suffice for.
int most_of(const std::map<std::string, int>& atoms, const Formula& ion) {
  int most = 1'000'000;
  for (const auto& [symbol, count] : ion.atoms) {
    const auto found = atoms.find(symbol);
    most = std::min(most, found == atoms.end() ? 0 : found->second / count);
  }
  return most;
}

std::vector<Particle> ions_of(const std::map<std::string, int>& atoms) {
  for (const Family& family : families()) {
    for (const Formula& cation : family.cations) {
      // More than four of an ion in one formula is no usual salt.
      const int most = std::min(most_of(atoms, cation), 4);
      for (int cations = 1; cations <= most; ++cations) {
        for (const Formula& anion : family.anions) {
          const int charge = cations * cation.charge;
          const int anions = charge / -anion.charge;
          if (charge % anion.charge != 0 || !is_made_of(atoms, cation, cations, anion, anions)) {
            continue;
          }
          return {{cations, cation}, {anions, anion}};
        }
      }
    }
  }
  return {};
}

}  // namespace

Result<Formula> substance(std::string_view name_or_formula) {
  const std::string_view text = trimmed(name_or_formula);
  const std::string small = in_small_letters(text);
  std::vector<std::string> known;
  for (const auto& [name, formula] : names) {
    if (small == name) return parse_formula(formula);
    known.emplace_back(name);
  }
  auto formula = parse_formula(text);
  if (formula) return formula;
  const auto near = nearest(small, known);
  if (!near) return formula;
  return Error{Fault::bad_data,
               fmt::format("\"{}\" is no known substance, did you mean {}?", text, *near)};
}

std::vector<Particle> dissociated(const Formula& formula) {
  const std::vector<Particle> whole{{1, formula}};
  if (formula.phase != Phase::aqueous || formula.charge != 0) return whole;
  std::map<std::string, int> atoms = formula.atoms;
  const Formula water = parse_formula("H2O(l)").value();
  // Water of crystallisation stands behind the last dot.
  int waters = 0;
  if (const std::size_t dot = formula.text.rfind('.'); dot != std::string::npos) {
    const std::string_view behind = std::string_view(formula.text).substr(dot + 1);
    if (behind.ends_with("H2O(aq)")) {
      const auto number = parse_number(behind.substr(0, behind.size() - 7));
      waters = number ? static_cast<int>(*number) : 1;
      atoms["H"] -= 2 * waters;
      atoms["O"] -= waters;
      std::erase_if(atoms, [](const auto& atom) { return atom.second == 0; });
    }
  }
  std::vector<Particle> particles = ions_of(atoms);
  if (particles.empty()) return whole;
  if (waters > 0) particles.push_back({waters, water});
  return particles;
}

}  // namespace nestcup
