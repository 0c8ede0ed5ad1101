// One quantity of a class: what every bench found, and what all found together.
#pragma once

#include <optional>
#include <span>
#include <string>
#include <utility>
#include <vector>

#include "core/chemistry/results.hpp"
#include "core/classroom/between_within.hpp"
#include "core/classroom/outlier_tests.hpp"
#include "core/classroom/robust.hpp"

namespace nestcup {

enum class QuantityKind { constant, trial, cycle };

/// What benches are held beside each other in. Benches whose sheets mean another reaction by the
/// same trial's name are not.
struct QuantityName {
  QuantityKind kind = QuantityKind::trial;
  std::string trial;     ///< its name; empty for constant and cycle
  std::string equation;  ///< of a reaction, or the cycle's target; else empty
  std::string what;      ///< for people: "enthalpy at 25 degC"
  std::string unit;      ///< "kJ/mol"
  std::string key;       ///< for programs, with the unit: "delta_H_25_kJ_per_mol"

  [[nodiscard]] bool operator==(const QuantityName&) const = default;
};

/// A bench's runs by name, each with what it came to.
using RunValues = std::vector<std::pair<std::string, double>>;

/// What one bench found.
struct BenchValue {
  std::size_t bench = 0;  ///< in the class
  Measured value;
  Uncertain stated;  ///< the same with degrees of freedom
  /// Standard uncertainty without that of the tables, which all benches share.
  double u_own = 0.0;
  RunValues runs;  ///< empty for constant and cycle

  std::optional<double> z;    ///< (x - x*) / s*, ISO 13528
  std::optional<double> E_n;  ///< beside the other benches, k = 2
  Standing grubbs = Standing::in_line;
  Standing scatter = Standing::in_line;  ///< Cochran's test: its runs lie further apart
  bool far = false;                      ///< |z| is above farthest_z

  /// Whether it lies off, by either way of telling.
  [[nodiscard]] bool is_outlying() const { return far || grubbs == Standing::outlier; }
};

/// In a class without mistakes the farthest of 6 to 200 benches has a |z| above this in no more
/// than 1 % of classes (found by simulation of normal values: 4.2 for 6 and for 8, 3.9 for 30, 4.1
/// for 200). Grubbs' test can be blind to several that lie off together; this is not.
inline constexpr double farthest_z = 4.2;
inline constexpr std::size_t least_benches_for_z = 6;  ///< for `far`; z itself is given from 3 on

struct AcceptedFigure {
  Uncertain value;
  std::string source;
  std::optional<double> E_n;  ///< of the robust mean, k = 2
};

struct ClassQuantity {
  QuantityName name;
  std::vector<BenchValue> benches;
  std::size_t runs = 0;  ///< 0 for constant and cycle, which have none of their own
  double mean = 0.0;
  double median = 0.0;
  std::optional<RobustFigures> robust;          ///< from two benches on
  std::optional<BetweenWithin> spread;          ///< of all benches
  std::optional<BetweenWithin> spread_in_line;  ///< without outliers of value or scatter
  double u_tables = 0.0;  ///< median of what tables bring into the benches' values
  std::optional<AcceptedFigure> accepted;
  std::optional<OutlierTest> grubbs_one, grubbs_two, cochran;  ///< indexes into `benches`

  /// The value of this bench of the class, or null.
  [[nodiscard]] const BenchValue* of(std::size_t bench) const;
};

/// All quantities that any bench has, in the order of its sheet; constant first, cycle last.
/// @param worked  of each bench of the class
[[nodiscard]] std::vector<ClassQuantity> class_quantities(
    std::span<const std::pair<const Sheet*, const Results*>> worked);

/// Standard uncertainty without the tables' part.
[[nodiscard]] double u_without_tables(const Measured& value, const Inputs& inputs);

/// Whether an input is the same for all who use this program: tables of heat capacities, densities
/// and accepted enthalpies.
[[nodiscard]] bool is_of_tables(const Input& input);

}  // namespace nestcup
