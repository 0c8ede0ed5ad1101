// The ions of Laliberte's solutes, and which solutes a pair of ions makes.
#pragma once

#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "core/matter/laliberte.hpp"

namespace nestcup {

/// Atoms and charge: what a species is, however its formula is written.
struct Makeup {
  std::map<std::string, int> atoms;
  int charge = 0;

  [[nodiscard]] bool operator==(const Makeup&) const = default;
};

struct Ion {
  std::string text;  ///< canonical, without phase
  Makeup makeup;
};

/// A solute with a sign: +1 what is added up, -1 what is taken off, equivalent for equivalent.
struct SaltTerm {
  std::size_t solute = 0;  ///< index among laliberte_solutes()
  double g_per_equivalent = 0.0;
  double sign = 1.0;
};

class IonTable {
 public:
  /// The one of laliberte_solutes(). Made once.
  [[nodiscard]] static const IonTable& get();

  [[nodiscard]] const std::vector<Ion>& cations() const { return cations_; }
  [[nodiscard]] const std::vector<Ion>& anions() const { return anions_; }
  [[nodiscard]] std::optional<std::size_t> find_cation(const Makeup& makeup) const;
  [[nodiscard]] std::optional<std::size_t> find_anion(const Makeup& makeup) const;
  /// A solute as a whole, salts too.
  [[nodiscard]] std::optional<std::size_t> find_solute(const Makeup& makeup) const;
  /// One term where the model has the salt, otherwise three. Never empty (a test holds that).
  [[nodiscard]] const std::vector<SaltTerm>& salt(std::size_t cation, std::size_t anion) const;

 private:
  IonTable();

  std::vector<Ion> cations_, anions_;
  std::vector<Makeup> solutes_;
  std::vector<std::vector<SaltTerm>> salts_;  ///< cation by cation
};

}  // namespace nestcup
