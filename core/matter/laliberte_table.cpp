// Reads the text of laliberte.csv.
#include <fmt/format.h>

#include <algorithm>
#include <utility>

#include "core/base/numbers.hpp"
#include "core/matter/elements.hpp"
#include "core/matter/laliberte.hpp"

namespace nestcup {
namespace {

/// Columns, as the header names them.
constexpr std::string_view header =
    "solute,cas,cation,cations,anion,anions,c0,c1,c2,c3,c4,density_lowest_degC,"
    "density_highest_degC,density_most_w,density_relative_u,a1,a2,a3,a4,a5,a6,cp_lowest_degC,"
    "cp_highest_degC,cp_most_w,cp_relative_u,cp_like";
enum Column : std::size_t {
  solute_column = 0,
  cation_column = 2,
  cations_column = 3,
  anion_column = 4,
  anions_column = 5,
  density_columns = 6,
  cp_columns = 15,
  cp_u_column = 24,
  cp_like_column = 25,
  column_count = 26
};

std::vector<std::string_view> split(std::string_view text, char at) {
  std::vector<std::string_view> parts;
  for (std::size_t end = text.find(at); end != std::string_view::npos; end = text.find(at)) {
    parts.push_back(text.substr(0, end));
    text.remove_prefix(end + 1);
  }
  parts.push_back(text);
  return parts;
}

using Cells = std::vector<std::string_view>;

/// Coefficients, range and uncertainty, cell by cell; false where one is no number.
template <std::size_t Count>
bool read_fit(const Cells& cells, std::size_t from, SoluteFit<Count>& fit) {
  const auto read = [&](double& value) {
    const auto number = parse_number(cells[from++]);
    if (number) value = *number;
    return number.has_value();
  };
  return std::all_of(fit.coefficients.begin(), fit.coefficients.end(),
                     [&](double& value) { return read(value); }) &&
         read(fit.lowest_degC) && read(fit.highest_degC) && read(fit.most_w) &&
         read(fit.relative_u);
}

/// How many of an ion there are in a formula unit; nothing unless the cell fits the ion's.
bool read_ion(const Cells& cells, std::size_t column, std::string& ion, int& count) {
  ion = cells[column];
  const auto number = parse_number(cells[column + 1]);
  count = static_cast<int>(number.value_or(0.0));
  return ion.empty() ? cells[column + 1].empty() : count > 0;
}

/// The like solute's apparent molar heat capacity: both of its terms are proportional to a factor.
bool take_heat_capacity_of(std::string_view like, const std::vector<LaliberteSolute>& before,
                           LaliberteSolute& solute) {
  const auto found = std::find_if(before.begin(), before.end(), [&](const LaliberteSolute& other) {
    return other.formula == like;
  });
  if (found == before.end()) return false;
  const double relative_u = solute.heat_capacity.relative_u;
  solute.heat_capacity = found->heat_capacity;
  solute.heat_capacity.relative_u = relative_u;
  const double factor = found->molar_mass_g_per_mol / solute.molar_mass_g_per_mol;
  solute.heat_capacity.coefficients[0] *= factor;
  solute.heat_capacity.coefficients[4] *= factor;
  solute.heat_capacity_is_estimate = true;
  return true;
}

bool read_heat_capacity(const Cells& cells, const std::vector<LaliberteSolute>& before,
                        LaliberteSolute& solute) {
  const std::string_view like = cells[cp_like_column];
  if (like.empty()) return read_fit(cells, cp_columns, solute.heat_capacity);
  const auto relative_u = parse_number(cells[cp_u_column]);
  if (!relative_u) return false;
  solute.heat_capacity.relative_u = *relative_u;
  return take_heat_capacity_of(like, before, solute);
}

bool read_row(const Cells& cells, const std::vector<LaliberteSolute>& before,
              LaliberteSolute& solute) {
  if (cells.size() != column_count) return false;
  const auto formula = parse_formula(cells[solute_column]);
  if (!formula) return false;
  solute.formula = formula->text;
  solute.molar_mass_g_per_mol = molar_mass_g_per_mol(*formula).value;
  return read_ion(cells, cation_column, solute.cation, solute.cations) &&
         read_ion(cells, anion_column, solute.anion, solute.anions) &&
         read_fit(cells, density_columns, solute.density) &&
         read_heat_capacity(cells, before, solute);
}

}  // namespace

Result<std::vector<LaliberteSolute>> read_laliberte_table(std::string_view csv) {
  std::vector<LaliberteSolute> solutes;
  bool has_header = false;
  int number = 0;
  for (const std::string_view line : split(csv, '\n')) {
    ++number;
    if (line.empty() || line.front() == '#') continue;
    if (!has_header) {
      if (line != header) {
        return Error{Fault::bad_data, fmt::format("line {}: other columns than expected", number)};
      }
      has_header = true;
      continue;
    }
    LaliberteSolute solute;
    if (!read_row(split(line, ','), solutes, solute)) {
      return Error{
          Fault::bad_data,
          fmt::format("line {}: not a formula, ions and numbers in {} cells (cp_like names "
                      "a solute above it)",
                      number, static_cast<int>(column_count))};
    }
    solutes.push_back(std::move(solute));
  }
  return solutes;
}

}  // namespace nestcup
