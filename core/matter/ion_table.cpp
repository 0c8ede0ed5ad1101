#include "core/matter/ion_table.hpp"

#include <algorithm>
#include <array>

#include "core/matter/formula.hpp"

namespace nestcup {
namespace {

Makeup makeup_of(std::string_view text) {
  const auto formula = parse_formula(text);
  return formula ? Makeup{formula->atoms, formula->charge} : Makeup{};
}

void add_once(std::vector<Ion>& ions, const std::string& text) {
  const bool is_there =
      std::any_of(ions.begin(), ions.end(), [&](const Ion& ion) { return ion.text == text; });
  if (!text.empty() && !is_there) ions.push_back({text, makeup_of(text)});
}

std::optional<std::size_t> find(const std::vector<Ion>& ions, const Makeup& makeup) {
  const auto found =
      std::find_if(ions.begin(), ions.end(), [&](const Ion& ion) { return ion.makeup == makeup; });
  if (found == ions.end()) return std::nullopt;
  return static_cast<std::size_t>(found - ions.begin());
}

/// The salt of two ions, where the model has it.
std::optional<SaltTerm> single_salt(std::string_view cation, std::string_view anion) {
  const auto& all = laliberte_solutes();
  const auto found = std::find_if(all.begin(), all.end(), [&](const LaliberteSolute& solute) {
    return solute.cation == cation && solute.anion == anion;
  });
  if (found == all.end()) return std::nullopt;
  const int equivalents = found->cations * makeup_of(found->cation).charge;
  return SaltTerm{static_cast<std::size_t>(found - all.begin()),
                  found->molar_mass_g_per_mol / equivalents, 1.0};
}

/// Itself, or over sodium and the first common anion that does.
std::vector<SaltTerm> salt_of(std::string_view cation, std::string_view anion) {
  if (const auto own = single_salt(cation, anion)) return {*own};
  for (const std::string_view other : {"Cl-", "NO3-", "SO4-2"}) {
    const auto with_cation = single_salt(cation, other);
    const auto with_anion = single_salt("Na+", anion);
    auto bridge = single_salt("Na+", other);
    if (!with_cation || !with_anion || !bridge) continue;
    bridge->sign = -1.0;
    return {*with_cation, *with_anion, *bridge};
  }
  return {};
}

}  // namespace

const IonTable& IonTable::get() {
  static const IonTable table;
  return table;
}

IonTable::IonTable() {
  for (const LaliberteSolute& solute : laliberte_solutes()) {
    add_once(cations_, solute.cation);
    add_once(anions_, solute.anion);
    solutes_.push_back(makeup_of(solute.formula));
  }
  for (const Ion& cation : cations_) {
    for (const Ion& anion : anions_) salts_.push_back(salt_of(cation.text, anion.text));
  }
}

std::optional<std::size_t> IonTable::find_cation(const Makeup& makeup) const {
  return find(cations_, makeup);
}

std::optional<std::size_t> IonTable::find_anion(const Makeup& makeup) const {
  return find(anions_, makeup);
}

std::optional<std::size_t> IonTable::find_solute(const Makeup& makeup) const {
  const auto found = std::find(solutes_.begin(), solutes_.end(), makeup);
  if (found == solutes_.end()) return std::nullopt;
  return static_cast<std::size_t>(found - solutes_.begin());
}

const std::vector<SaltTerm>& IonTable::salt(std::size_t cation, std::size_t anion) const {
  return salts_[cation * anions_.size() + anion];
}

}  // namespace nestcup
