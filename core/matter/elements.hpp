// The elements with their standard atomic weights, and molar masses.
#pragma once

#include <optional>
#include <span>
#include <string>
#include <string_view>

#include "core/base/uncertain.hpp"
#include "core/matter/formula.hpp"

namespace nestcup {

/// An element that has a standard atomic weight.
struct Element {
  std::string_view symbol;
  int number;            ///< of protons
  double atomic_weight;  ///< the middle of what normal materials have
  double half_range;     ///< normal materials lie within atomic_weight +- half_range
};

/// All elements up to uranium that have a standard atomic weight, by number. Values: IUPAC 2021
/// (Prohaska et al., Pure Appl. Chem. 94 (2022) 573); where the table gives an interval (H, Li, B,
/// C, N, O, Mg, Si, S, Cl, Ar, Br, Tl, Pb), its middle and half its width.
[[nodiscard]] std::span<const Element> elements();

/// The element of this symbol, written as usual; null where there is none with a weight.
[[nodiscard]] const Element* find_element(std::string_view symbol);

/// The symbol that someone probably meant: one letter off, elements of the teaching laboratory
/// first.
[[nodiscard]] std::optional<std::string> nearest_element(std::string_view symbol);

/// The molar mass in g/mol: the sum of the standard atomic weights, less the electrons that an ion
/// lacks. Its u takes the ranges of the weights as rectangular (half range over the root of 3;
/// Possolo et al., Pure Appl. Chem. 90 (2018) 395), those of different elements as independent.
/// @param formula  as parse_formula gives it
[[nodiscard]] Uncertain molar_mass_g_per_mol(const Formula& formula);

}  // namespace nestcup
