#include "tools/sheet/extent.hpp"

#include <map>

#include "core/matter/elements.hpp"
#include "core/matter/substances.hpp"

namespace nestcup {
namespace {

constexpr const char* water = "H2O(l)";
using Amounts = std::map<std::string, double>;  ///< mol by canonical formula

/// mol of what a stock holds of its substance, where no density is needed for it.
std::optional<double> stock_mol(const Stock& stock, const Contents& contents) {
  if (contents.volume_mL && stock.concentration_mol_per_L) {
    const double volume_mL = *contents.volume_mL - contents.left_behind_mL.value_or(0.0);
    return volume_mL * 1e-3 * *stock.concentration_mol_per_L;
  }
  if (contents.mass_g && stock.mass_fraction) {
    const double mass_g = *contents.mass_g - contents.left_behind_g.value_or(0.0);
    return mass_g * *stock.mass_fraction / molar_mass_g_per_mol(stock.substance).value;
  }
  return std::nullopt;
}

/// An equation may speak of the ions or of the whole substance, so both are counted.
bool add_stock(const Stock& stock, const Contents& contents, Amounts& mol) {
  const auto whole_mol = stock_mol(stock, contents);
  if (!whole_mol) return false;
  const auto particles = dissociated(stock.substance);
  for (const Particle& particle : particles) {
    mol[particle.species.text] += particle.count * *whole_mol;
  }
  if (particles.size() > 1) mol[stock.substance.text] += *whole_mol;
  return true;
}

/// Adds the mol of each species that is not the water; false where one cannot be told.
bool add_amounts(const Sheet& sheet, const Contents& contents, Amounts& mol) {
  if (contents.stock) return add_stock(sheet.stocks[*contents.stock], contents, mol);
  if (!contents.substance) return false;
  if (contents.substance->text == water) return true;
  if (!contents.mass_g) return false;
  const double mass_g = *contents.mass_g - contents.left_behind_g.value_or(0.0);
  mol[contents.substance->text] += mass_g / molar_mass_g_per_mol(*contents.substance).value;
  return true;
}

}  // namespace

std::optional<PlannedExtent> planned_extent(const Sheet& sheet, const SheetTrial& trial) {
  if (!trial.equation || !trial.cup || !trial.added) return std::nullopt;
  Amounts mol;
  if (!add_amounts(sheet, *trial.cup, mol) || !add_amounts(sheet, *trial.added, mol)) {
    return std::nullopt;
  }
  std::optional<PlannedExtent> least;
  for (const Term& term : trial.equation->left) {
    const auto found = mol.find(term.species.text);
    const double net = -to_double(net_coefficient(*trial.equation, term.species));
    if (found == mol.end() || net <= 0.0) continue;
    const double extent_mol = found->second / net;
    if (!least || extent_mol < least->mol) least = {found->first, extent_mol};
  }
  return least;
}

}  // namespace nestcup
