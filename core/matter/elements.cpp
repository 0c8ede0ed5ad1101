#include "core/matter/elements.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <vector>

#include "core/base/nearest.hpp"

namespace nestcup {

namespace {

constexpr Element interval(std::string_view symbol, int number, double lowest, double highest) {
  return {symbol, number, (lowest + highest) / 2.0, (highest - lowest) / 2.0};
}

// Written down from memory and held against an independent table (tests/matter).
constexpr std::array all_elements{
    interval("H", 1, 1.00784, 1.00811),   Element{"He", 2, 4.002602, 2e-6},
    interval("Li", 3, 6.938, 6.997),      Element{"Be", 4, 9.0121831, 5e-7},
    interval("B", 5, 10.806, 10.821),     interval("C", 6, 12.0096, 12.0116),
    interval("N", 7, 14.00643, 14.00728), interval("O", 8, 15.99903, 15.99977),
    Element{"F", 9, 18.998403162, 5e-9},  Element{"Ne", 10, 20.1797, 6e-4},
    Element{"Na", 11, 22.98976928, 2e-8}, interval("Mg", 12, 24.304, 24.307),
    Element{"Al", 13, 26.9815384, 3e-7},  interval("Si", 14, 28.084, 28.086),
    Element{"P", 15, 30.973761998, 5e-9}, interval("S", 16, 32.059, 32.076),
    interval("Cl", 17, 35.446, 35.457),   interval("Ar", 18, 39.792, 39.963),
    Element{"K", 19, 39.0983, 1e-4},      Element{"Ca", 20, 40.078, 4e-3},
    Element{"Sc", 21, 44.955907, 4e-6},   Element{"Ti", 22, 47.867, 1e-3},
    Element{"V", 23, 50.9415, 1e-4},      Element{"Cr", 24, 51.9961, 6e-4},
    Element{"Mn", 25, 54.938043, 2e-6},   Element{"Fe", 26, 55.845, 2e-3},
    Element{"Co", 27, 58.933194, 3e-6},   Element{"Ni", 28, 58.6934, 4e-4},
    Element{"Cu", 29, 63.546, 3e-3},      Element{"Zn", 30, 65.38, 2e-2},
    Element{"Ga", 31, 69.723, 1e-3},      Element{"Ge", 32, 72.630, 8e-3},
    Element{"As", 33, 74.921595, 6e-6},   Element{"Se", 34, 78.971, 8e-3},
    interval("Br", 35, 79.901, 79.907),   Element{"Kr", 36, 83.798, 2e-3},
    Element{"Rb", 37, 85.4678, 3e-4},     Element{"Sr", 38, 87.62, 1e-2},
    Element{"Y", 39, 88.905838, 2e-6},    Element{"Zr", 40, 91.224, 2e-3},
    Element{"Nb", 41, 92.90637, 1e-5},    Element{"Mo", 42, 95.95, 1e-2},
    Element{"Ru", 44, 101.07, 2e-2},      Element{"Rh", 45, 102.90549, 2e-5},
    Element{"Pd", 46, 106.42, 1e-2},      Element{"Ag", 47, 107.8682, 2e-4},
    Element{"Cd", 48, 112.414, 4e-3},     Element{"In", 49, 114.818, 1e-3},
    Element{"Sn", 50, 118.710, 7e-3},     Element{"Sb", 51, 121.760, 1e-3},
    Element{"Te", 52, 127.60, 3e-2},      Element{"I", 53, 126.90447, 3e-5},
    Element{"Xe", 54, 131.293, 6e-3},     Element{"Cs", 55, 132.90545196, 6e-8},
    Element{"Ba", 56, 137.327, 7e-3},     Element{"La", 57, 138.90547, 7e-5},
    Element{"Ce", 58, 140.116, 1e-3},     Element{"Pr", 59, 140.90766, 1e-5},
    Element{"Nd", 60, 144.242, 3e-3},     Element{"Sm", 62, 150.36, 2e-2},
    Element{"Eu", 63, 151.964, 1e-3},     Element{"Gd", 64, 157.25, 3e-2},
    Element{"Tb", 65, 158.925354, 7e-6},  Element{"Dy", 66, 162.500, 1e-3},
    Element{"Ho", 67, 164.930329, 5e-6},  Element{"Er", 68, 167.259, 3e-3},
    Element{"Tm", 69, 168.934219, 5e-6},  Element{"Yb", 70, 173.045, 1e-2},
    Element{"Lu", 71, 174.9668, 1e-4},    Element{"Hf", 72, 178.486, 6e-3},
    Element{"Ta", 73, 180.94788, 2e-5},   Element{"W", 74, 183.84, 1e-2},
    Element{"Re", 75, 186.207, 1e-3},     Element{"Os", 76, 190.23, 3e-2},
    Element{"Ir", 77, 192.217, 2e-3},     Element{"Pt", 78, 195.084, 9e-3},
    Element{"Au", 79, 196.966570, 4e-6},  Element{"Hg", 80, 200.592, 3e-3},
    interval("Tl", 81, 204.382, 204.385), interval("Pb", 82, 206.14, 207.94),
    Element{"Bi", 83, 208.98040, 1e-5},   Element{"Th", 90, 232.0377, 4e-4},
    Element{"Pa", 91, 231.03588, 1e-5},   Element{"U", 92, 238.02891, 3e-5},
};

/// CODATA 2018, rounded.
constexpr double electron_g_per_mol = 5.485799e-4;

/// Whoever mistypes a symbol means one of these most of the time.
constexpr std::array laboratory_elements{"H", "C",  "N",  "O",  "Na", "Mg", "Al", "S",  "Cl", "K",
                                         "F", "Ca", "P",  "Fe", "Cu", "Zn", "Br", "Ag", "I",  "Li",
                                         "B", "Mn", "Ni", "Co", "Ba", "Pb", "Sn", "Si", "Sr", "Cr"};

}  // namespace

std::span<const Element> elements() {
  return all_elements;
}

const Element* find_element(std::string_view symbol) {
  const auto* const found = std::find_if(all_elements.begin(), all_elements.end(),
                                         [&](const Element& e) { return e.symbol == symbol; });
  return found == all_elements.end() ? nullptr : found;
}

std::optional<std::string> nearest_element(std::string_view symbol) {
  std::vector<std::string> candidates(laboratory_elements.begin(), laboratory_elements.end());
  for (const Element& element : all_elements) candidates.emplace_back(element.symbol);
  // The other case alone ("mg", "NA") is nearer than a wrong letter.
  for (const std::size_t distance : {std::size_t{0}, std::size_t{1}}) {
    for (const std::string& candidate : candidates) {
      const bool alike = candidate.size() == symbol.size() || distance == 0;
      if (alike && edit_distance(symbol, candidate) == distance) return candidate;
    }
  }
  return std::nullopt;
}

Uncertain molar_mass_g_per_mol(const Formula& formula) {
  double sum = -formula.charge * electron_g_per_mol;
  double variance = 0.0;
  for (const auto& [symbol, count] : formula.atoms) {
    const Element* const element = find_element(symbol);
    if (element == nullptr) continue;
    sum += count * element->atomic_weight;
    const double u = count * element->half_range / std::sqrt(3.0);
    variance += u * u;
  }
  return {sum, std::sqrt(variance)};
}

}  // namespace nestcup
